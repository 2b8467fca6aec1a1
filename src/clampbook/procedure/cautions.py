"""The cautions that the program always gives, whatever a sheet says: the sheet's own stand beside them."""

IN_SHORT = "Maker's manual first. Eye protection on. Never loosen with a torque tool."
ALWAYS = (
    "The maker's service manual, local rules and licensed practice come before anything that is said here.",
    "A fastener can break: eye protection on, face out of the way, the work supported.",
    "Never use a torque tool to loosen; and never one to see how tight a finished bolt is.",
    "Parts that are marked for one use are not used again.",
    "Clamp load from torque is an estimate. Sample values are invented.",
)
