"""Every slip is an error that says what would work."""

import articulate

wagon = articulate.demo("wagon")
slips = (
    lambda: articulate.Ramp(angle="20 %"),
    lambda: articulate.Ramp(side="Right"),
    lambda: wagon.what_if(rear__travel__bmp="95 mm"),
    lambda: wagon.what_if(rear__travel__bump="95"),
)
for slip in slips:
    try:
        slip()
    except articulate.ArticulateError as error:
        print(error)
