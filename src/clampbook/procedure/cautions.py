"""The cautions that the program always gives, whatever a sheet says: the sheet's own stand beside them."""

IN_SHORT = "Maker's manual first. Eye protection on. Never loosen with a torque tool."
ALWAYS = (
    "The maker's manual, local rules and licensed practice come first.",
    "A fastener can break. Eye protection on, face out of the way, work supported.",
    "Never loosen with a torque tool, and never use one to see how tight a finished bolt is.",
    "Never reuse one-use fasteners.",
    "Clamp load from torque is an estimate. Sample values are invented.",
)
