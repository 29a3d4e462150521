"""A face drawn by hand for the demo: the photo of a holder who does not exist."""

from io import BytesIO

from PIL import Image, ImageDraw

SIZE = (720, 926)


def face() -> bytes:
    """Return a JPEG of head and shoulders in a work jacket, as a phone would send it."""
    picture = Image.new("RGB", SIZE, "#c9d3dc")
    pen = ImageDraw.Draw(picture)
    pen.ellipse((160, 110, 560, 640), fill="#4a2f1f")  # hair
    pen.rounded_rectangle((60, 690, 660, 1010), radius=170, fill="#d9601a")  # jacket
    for left in (150, 500):
        pen.rectangle((left, 690, left + 70, 926), fill="#e8e4d0")  # its reflecting stripes
    pen.rectangle((295, 560, 425, 730), fill="#c98f6b")  # neck
    pen.ellipse((205, 160, 515, 640), fill="#dca47c")
    pen.chord((190, 110, 530, 360), 180, 360, fill="#4a2f1f")
    for middle in (290, 430):
        pen.ellipse((middle - 32, 352, middle + 32, 388), fill="white")
        pen.ellipse((middle - 15, 355, middle + 15, 385), fill="#2c3a2e")
        pen.arc((middle - 45, 312, middle + 45, 370), 200, 340, fill="#4a2f1f", width=9)
    pen.line((360, 390, 345, 470, 372, 474), fill="#a8694a", width=7, joint="curve")
    pen.arc((295, 470, 425, 560), 25, 155, fill="#8d4038", width=9)
    made = BytesIO()
    picture.save(made, "JPEG", quality=90)
    return made.getvalue()
