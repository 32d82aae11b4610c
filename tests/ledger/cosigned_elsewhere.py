"""Cosigned checkpoints that others made, and the keys they were made with."""

# A checkpoint of a public staging log, as signed by the log (types 0x05 and 0x01) and cosigned by
# four public witnesses, kept in the tests of a public client of such logs.  The verifier key of
# the witness remora.n621.de stands in transparency-dev/formats, note/note_cosigv1_test.go.
REAL = """arche2025h1.staging.ct.transparency.dev
1432088532
U7WM79jrzyhGZ5/GUBTpM7NzwdyfFx61t3RovgcC4Ro=

— arche2025h1.staging.ct.transparency.dev zTM8sQAAAZ5W0WdjBAMARjBEAiBjW5IQf9pvsYLfQFX6hoGREPMHbdQ3\
urbllzalApkptQIgIpwtEroeW2BXaHAI4kJXFbon5Ch9MNL5zRNZ55lvGt0=
— arche2025h1.staging.ct.transparency.dev ui8GwCF1+kWqZrxGdhj4aX3gcw7XUlXQQabg/27lefwhUkzbC3NygNI7\
5MdhL1bfTW9g8Ei59RA23oHP7Ry1k3ZFWwQ=
— transparency.dev/DEV:witness-little-garden 2AQqhwAAAABqEiEgzgFIqqhbUoDwjMWE6UP8nd8/KYTzwZ2rhIgcq\
oXHAwVkjZr4AscylP3v7sEodkRAErumC2q44vdgJY096st5BQ==
— witness1.smartit.nu/witness1 pIyCDwAAAABqEiEghIp82KWebrw7/oHQwlTAm3g2RKS4+eebl8eO0WH+/iEcxZ75W3u\
5hNI7TOQtmJbqmNWVuE0tgh0XwzdZsDsUAQ==
— remora.n621.de 2net5wAAAABqEiEgPlfF3V06o0Y+fHM+J5J9s27wgxxcOVSpZ/2g/KSiXCg9DEZI+aVCIobWX9sXTynk5\
XeU/zZ0WBxtqB0DrAWfBw==
— witness.stagemole.eu Z/euoAAAAABqEiEgw0i+7g2ENfDAWHmtRzCfKTHSDwYDJA2NmKeGi9Y8FtEyOUvVr+AJmIY/2TU\
FucgKi7lI7cUiOvKFYe/TmN9DAg==
"""
REAL_LOG = "arche2025h1.staging.ct.transparency.dev+ba2f06c0+AU0vHmlGCS/PdN8b2OaGmKprLI8HKM+dJ472xg\
FYh15f"
REAL_WITNESS = "remora.n621.de+da77ade7+BOvN63jn/bLvkieywe8R6UYAtVtNbZpXh34x7onlmtw2"

# C2SP tlog-cosignature, the example at its beginning; the keys are not given there.
EXAMPLE = """example.com/behind-the-sofa
20852163
CsUYapGGPo4dkMgIAUqom/Xajj7h2fB2MPA3j2jxq2I=

— example.com/behind-the-sofa Az3grlgtzPICa5OS8npVmf1Myq/5IZniMp+ZJurmRDeOoRDe4URYN7u5/Zhcyv2q1gGzG\
ku9nTo+zyWE+xeMcTOAYQ8=
— witness.example.com/w1 jWbPPwAAAABkGFDLEZMHwSRaJNiIDoe9DYn/zXcrtPHeolMI5OWXEhZCB9dlrDJsX3b2oyin1n\
PZqhf5nNo0xUe+mbIUBkBIfZ+qnA==
"""
# The same document, "Ed25519 signed message".
EXAMPLE_TIME = 1679315147
