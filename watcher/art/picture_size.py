"""How large the small picture of a card may be; apart from what makes one, so that a list loads no image library."""

LONGEST_PX = 112  # shown at half of that on the screen of a phone
MOST_LETTERS = 4500  # in base64; sixty of these make a quarter of a megabyte
