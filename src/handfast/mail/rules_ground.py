"""Ground that is said to be level, and a field that "runs" so many per cent."""

from __future__ import annotations

import re
from collections.abc import Iterator

from handfast.mail.found import Found
from handfast.mail.letter import Letter

_GROUND = r"(?:ground|land|terrain|field|fields|pasture|yard|lot|site|place|property|farm|everything|it|it all|here|woods|woodlot)"
_LEVEL = re.compile(
    rf"\b(?:{_GROUND}(?: here| there)?(?:'s| is| are|:)? (?:all |dead |perfectly |completely |totally |basically )?(?:flat|level)"
    r"|(?:on |all )?(?:dead |perfectly )?(?:flat|level) (?:ground|land|terrain|field|pasture|place|farm|yard|lot|as a (?:pancake|board|table)|here)"
    r"|(?:dead|all|perfectly) (?:flat|level)|no (?:hills?|slopes?)(?: here| at all| to speak of)?)(?=[ ]*(?:$|[.,;!)\n]|and\b|so\b|here\b|there\b|no\b|with\b|at all\b))"
)
_HEDGED = re.compile(
    r"\b(?:mostly|pretty|fairly|mainly|some|except|but|nearly|almost|rel\w+|more or less|where|until|unless|partly|half|parts?|spots|bottom|top|too|not|isn't|aren't|bed|tires?|trailer|deck|rate|plate|loader|roof|floor|bucket)\b"
)


def level(letter: Letter) -> Iterator[Found]:
    """Ground said to be flat without a "mostly" is no slope, where no other slope is told."""
    if any(one.dimension == "slope" for one in letter.amounts) or re.search(
        r"\b(?:steep\w*|hilly|hillside|sloped?|sloping|hills)\b(?<!no hills)", letter.low
    ):
        return
    for match in _LEVEL.finditer(letter.low):
        start, end = letter.sentence(match.start())
        near = letter.low[max(start, match.start() - 26) : min(end, match.end() + 26)]
        if letter.own(match.start()) and not _HEDGED.search(near) and not letter.denied(match.start(), 16):
            yield letter.fact(
                "site.slope", 0.0, match.start(), match.end(), "ground that is said to be level", entry="0 %"
            )
            return
