"""An independent bench: bolts, tools, hands and time. It walks random procedures and checks what was written down.

Nothing here imports the program. It is driven as a script drives it, `walk --plain --json`, and read by what it leaves.
"""
