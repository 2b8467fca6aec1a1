"""The facts before a run exists, or goes on, and what is still to be asked: who, final or trial, which joint."""

from __future__ import annotations

from msgspec import Struct
from msgspec.structs import replace

from clampbook.people import Person
from clampbook.procedure.model import Procedure
from clampbook.run.answers import Refused
from clampbook.run.gather.asking import despite, final_or_trial, which_joint, which_joints, who
from clampbook.run.gather.draft import JOINTS, Draft, Part
from clampbook.screens.paper_form import PaperForm, form_part, form_settled


class Settled(Struct, frozen=True):
    """The facts known so far. `procedure` None: a run that is open already, so that only the person is asked."""

    title: str
    procedure: Procedure | None = None
    person: Person | None = None
    trial: bool | None = None
    joint: str | None = None
    only: tuple[str, ...] | None = None
    despite: str | None = None
    form: PaperForm | None = None

    @property
    def asks_despite(self) -> bool:
        """True where the procedure is withdrawn and nobody has said why it is started anyway."""
        withdrawn = self.procedure is not None and self.procedure.status == "withdrawn"
        return withdrawn and not self.despite and self.form is None

    @property
    def asks_trial(self) -> bool:
        """True where final or trial makes a difference and is not said yet."""
        stages = self.procedure.stages if self.procedure is not None else ()
        return self.trial is None and any(stage.trial_skip for stage in stages)

    @property
    def asks_joint(self) -> bool:
        """True where there are several joints and none is named yet."""
        return self.procedure is not None and bool(self.procedure.repeat) and self.joint is None


def next_part(settled: Settled, people: tuple[Person, ...]) -> Part | None:
    """Give what is asked next; None where all is known."""
    if settled.person is None:
        return who(people)
    of_the_form = form_part(settled.form, people) if settled.form is not None else None
    if of_the_form is not None:
        return of_the_form
    if settled.asks_despite and settled.procedure is not None:
        return despite(settled.procedure)
    if settled.asks_trial:
        return final_or_trial()
    if settled.asks_joint and settled.procedure is not None:
        return which_joint(settled.procedure)
    several = settled.procedure.joints if settled.procedure is not None else None
    return None if several is None or settled.only is not None else which_joints(several)


def settle(settled: Settled, given: Draft) -> Settled | Refused:
    """The same with one more answer; or a sentence that says why that is none."""
    if given.has("who"):
        return replace(settled, person=given.person("who"))
    if given.has("despite"):
        return replace(settled, despite=given.text("despite"))
    if given.has("trial"):
        return replace(settled, trial=given.text("trial") == "trial")
    if given.has("joint"):
        return replace(settled, joint=given.text("joint"))
    if given.has(JOINTS):
        return replace(settled, only=given.positions(JOINTS))
    if settled.form is None:
        return settled
    form = form_settled(settled.form, given)
    return form if isinstance(form, Refused) else with_form(settled, form)


def with_form(settled: Settled, form: PaperForm) -> Settled:
    """The same with what is known of the form; the procedure is that which it was printed from."""
    work = form.work
    if work is None:
        return replace(settled, form=form)
    return replace(settled, form=form, procedure=work.procedure, title=in_short(work.procedure))


def in_short(procedure: Procedure) -> str:
    """ "Cylinder head · revision B, released"."""
    return f"{procedure.title} · revision {procedure.revision}, {procedure.status}"
