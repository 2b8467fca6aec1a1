"""The help of the drafting screen."""

KEYS = (
    "F8 saves. Ctrl-S does the same.",
    "F5 goes to the other side and back. There ↑ ↓ or a number choose, and Enter goes to that line.",
    "F6 inserts a group, a stage or a layout, with what belongs into each key beside it.",
    "F7 goes to the next error or query. A value that is still empty can be typed there at once.",
    "F9 lists what can stand at the cursor. The list also opens as you type.",
    "In the list ↑ ↓ choose, Tab or Enter takes a line, and Esc closes it.",
    "PgUp and PgDn turn pages, Ctrl-Home and Ctrl-End go to the beginning and the end.",
    "Ctrl-Z undoes, Ctrl-Y does it again. Ctrl-C copies what is selected, Shift with the arrows selects.",
    "F2 lists everything that can be done. Esc leaves, and asks first if something is not saved.",
)
HELP_LINES = (
    "Type the procedure on one side. The other side shows what it comes to, and changes as you type.",
    "Errors first, each with its line. Without errors: queries, the joint, and the steps as they will be walked.",
    "",
    "# Keys",
    *KEYS,
    "",
    "# Saving",
    "The file is saved whole, or stays as it was. If someone else changed it, you are asked first.",
    "While you type, a copy is saved in your own folder. If the program stops, you can go on from it.",
    "A revision that is released or used stays as it is. Its text becomes the draft of the next one.",
)
