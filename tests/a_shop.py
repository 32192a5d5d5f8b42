"""The settings of a made-up shop: a laser printer fed by hand and a press that turns sheets itself."""

PRINTERS = """
[defaults]
card = "invitation"
[cards.invitation]
trim = "5 x 7 in"
bleed = "0.125 in"
sheet = "letter"
[sheets.letter]
size = "letter"
printer = "laser"
[sheets.a4]
size = "A4"
printer = "laser"
[sheets.small]
size = "4.5 x 6.5 in"
printer = "laser"
[sheets.wide]
size = "297 x 210 mm"
printer = "laser"
[sheets.sra3]
size = "SRA3"
printer = "press"
[printers.laser]
flip = "long-edge"
duplex = "manual"
[printers.press]
flip = "long-edge"
"""

# The shortest settings that are complete.
LEAST = """
[cards.invitation]
trim = "5 x 7 in"
sheet = "letter"

[sheets.letter]
size = "letter"
printer = "laser"

[printers.laser]
flip = "long-edge"
"""
