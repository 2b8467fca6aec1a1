"""The signature of the person who types a form in: for that, and for nothing that others did."""

from __future__ import annotations

from clampbook.signing.statement import said

WHO_TYPED = "typed in by"  # the role of whoever typed a form in
FROM_FORM = "typed in from a paper form"  # what that signature means
TYPED_IN = said(FROM_FORM)
