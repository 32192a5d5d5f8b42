"""Why and since when an order is held, and its art."""

SINCE = "2026-05-01T10:11:12+02:00"
WHY = (
    "spring menu_back.png is 408 x 555 px, 150 dpi at 69 x 94 mm with bleed; 300 dpi is needed."
    " Export at 815 x 1111 px or more."
)
ART = {"spring menu_front.png": b"front", "spring menu_back.png": b"back"}
