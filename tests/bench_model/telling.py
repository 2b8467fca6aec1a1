"""What is told of many jobs: each kind of discrepancy once, on the screen or as a file for whoever it belongs to."""

from pathlib import Path

from bench_model.job import Job
from bench_model.worker import Row

Kinds = dict[tuple[str, str], list[tuple[int, Row]]]


def kinds_of(jobs: list[Job]) -> Kinds:
    """Discrepancies by owner and kind, each with the seeds that show it."""
    kinds: Kinds = {}
    for job in jobs:
        if job.stuck:
            row = Row("MODEL", "stuck", f"seed {job.seed}", job.stuck[-900:], "the walk goes on")
            kinds.setdefault((row.owner, row.short), []).append((job.seed, row))
        for row in job.worker.rows:
            kinds.setdefault((row.owner, row.short), []).append((job.seed, row))
    return kinds


def tell(kinds: Kinds) -> list[str]:
    """A few lines for each kind."""
    lines = []
    for (owner, short), found in sorted(kinds.items()):
        row, seeds = found[0][1], sorted({seed for seed, _ in found})[:6]
        lines += [f"{owner}-{short}: {len(found)} jobs, seeds {seeds}", f"    done  {row.done}"]
        lines += [f"    said  {row.said}", f"    true  {row.true}"]
    return lines


def file_them(kinds: Kinds, folder: Path) -> int:
    """One file a kind, where there is none yet, mended ones included."""
    folder.mkdir(parents=True, exist_ok=True)
    written = 0
    for (owner, short), found in kinds.items():
        name = f"{owner}-{short}.md".replace(" ", "-")
        if (folder / name).exists() or (folder / "mended" / name).exists() or owner == "MODEL":
            continue
        seed, row = found[0]
        replay = f"cd tests && ../.venv/bin/python -m bench_model --seed {seed} --tell"
        text = f"# {owner}: {short}\n\nReplay (in a checkout that is rebased on main): `{replay}`\n"
        seeds = sorted({seed for seed, _ in found})[:10]
        text += f"Seeds that show it: {seeds}\n\n"
        (folder / name).write_text(
            text + f"Done: {row.done}\n\nSaid: {row.said}\n\nTrue: {row.true}\n", encoding="utf-8"
        )
        written += 1
    return written
