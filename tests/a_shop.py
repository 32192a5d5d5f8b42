"""The settings of made-up shops: a laser printer fed by hand, a press that turns sheets itself, an office printer."""

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

# Two sheets of a printer that turns them itself.
OFFICE = """
[sheets.letter]
size = "letter"
printer = "office"
[sheets.a4]
size = "A4"
printer = "office"
[printers.office]
flip = "long-edge"
"""

# A one-sided card there, whose art may have so few pixels that tests are quick.
TAG = """
[cards.tag]
trim = "85 x 55 mm"
bleed = "3 mm"
sides = 1
sheet = "a4"
warn_ppi = 60
hold_ppi = 40
"""
