"""A letter as its rules see it: plain text, sentences and clauses, and where what is said is not the writer's own."""

from __future__ import annotations

import re
from bisect import bisect_right
from dataclasses import dataclass
from functools import cached_property

from handfast.mail.amounts import Amount, amounts
from handfast.mail.cleaning import joined, own_words, passed_on, plain
from handfast.mail.found import Found, Value
from handfast.mail.inherited import with_units

_ABBREVIATED = re.compile(
    r"(?:\b(?:approx|lbs?|ft|in|hp|h\.p|dia|diam|mr|mrs|ms|dr|no|ca|yds?|hrs?|deg|st|vs|etc|incl|cap|max|min|wt|hyd|sq|gal|pct|psi|gpm|g\.p\.m|p\.s\.i|u\.s|e\.g|i\.e|[a-z]))$"
)
_STOP = re.compile(r"[.!?;]+(?=[\s)\"']|$)|\n")
_CLAUSE = re.compile(
    r"(?<!\d),|,(?!\d)|[:()]|\.\.\.|(?<=\s)-+(?=\s)|\b(?:but|though|although|however|because|whereas|plus|except)\b"
    r"|\band (?=(?:i|it|we|my|the|no|not|have|has|is|there|that|if|they|he|she|can|would|will|do|does|am)\b)|\bso (?=(?:i|it|we)\b)"
)
_OTHER = (
    r"neighbou?rs?|nieghbors?|nieghbours?|buddy|buddies|friends?|pal|brother(?:[ -]in[ -]law)?|cousin|uncle|aunt|"
    r"father[ -]in[ -]law|dad|father|grandpa|grandfather|son|son[ -]in[ -]law|nephew|sister|boss|coworker|co-worker|"
    r"guy|fella|fellow|man|feller|dealer|salesman|contractor|logger|landlord|customer|kid|someone|somebody|folks|people|county|township|town crew|rental (?:yard|place|shop)"
)
_FOREIGN = re.compile(
    rf"\b(?:my|our|the|a|an|his|her|one|this|another|some|that|old)? ?(?:[a-z]+ ){{0,2}}(?:{_OTHER})(?: [a-z]+)?"
    r"(?: (?:down|up|across|over) (?:the )?(?:road|street|hill|way|line|valley))?(?: next door)?(?: [a-z]+)?"
    r"(?:(?:,? who)? (?:has|had|have|owns?|owned|runs?|ran|got|bought|uses?|used|drives?|swears|lifts?|lifted|picks?|put|puts|lent|loaned|lends|lets|let|is running|just got|just bought|says his|said his|told me his|rents)|'s got| with (?:a|an|his)|(?<=buddy)s (?=[a-z]+ \d)|(?<=friend)s (?=[a-z]+ \d)|(?<=neighbor)s (?=[a-z]+ \d)|'s (?!tractor,? (?:is|it's|a|so)))\b"
    r"|\b(?:his|hers|theirs|her|their) (?:is|has|tractor|loader|machine|rig|one|bale|slope|gate|land|place)\b"
    r"|\b(?:my|our|the) (?:last|previous|former|first|other) (?:tractor|machine|one|rig|loader)\b|(?<!, )\b(?:my|our|the) old (?:tractor|machine|one|rig|loader)\b|\b(?:i |we )?used to (?:have|own|run|drive)\b|\bi once (?:had|owned|ran)\b"
    r"|\b(?:i|we) (?:had|sold|traded(?: in)?) (?:a|an|my|our|the)\b|(?:^|(?<=[.!?\n] )|(?<=\n))(?:sold|traded(?: in)?|got rid of) (?:a|an|my|our|the) (?!idea)|\b(?:they|people|folks|everyone|everybody|he|somebody|someone) (?:told|tells?|keeps? telling) (?:me|us) (?:that )?(?!(?:it|it's|mine|my|our|the|she|this|that|to)\b)|\b(?:the|my|our) old (?:gate|trailer|truck|loader|bucket|tires|wagon) (?:was|were|had|weighed)\b|\b(?:i was|i've been|i have been|we were|been) told (?!(?:it|mine|my|the tractor|ours)\b)|\b(?:some ?day|one of these days|one day|eventually|down the (?:road|line)),? (?:i|we)(?:'d| would|'ll| will| want| hope| might| may)\b|\b(?:tractor|one|machine|rig) i (?:had|sold|traded)\b|\bbefore (?:this|that) i\b|\b(?:the|your) (?:ad|sheet|page|site|flyer|catalog(?:ue)?) (?:shows|says) (?:a|one)\b|\b(?:sheet|quote|price|brochure|page|one|manual|paper\w*|spec\w*) (?:that )?(?:you|he|they) (?:sent|gave|quoted|mailed|emailed|e-mailed)(?: me| us)? (?:is|was|were|are) for\b"
)
_GOES_ON = re.compile(
    r"\s*(?:and |but )?(?:he|she|they|his|hers|her|theirs|their|that one|he's|she's|they're|that was|it was)\b"
)
_THIRD = re.compile(r"\b(?:neighbou?r|buddy|friend|fellow|fella|guy|cousin|uncle|pal|customer|brother[ -]in[ -]law)\b")
_HE_HAS = re.compile(r"\s*(?:he|she|they)(?:'s| has| have| had| runs?| owns?| drives?| uses?| got)\b")
_BACK_HOME = re.compile(
    r"\b(?:mine|mine's|the new (?:one|gate)|my own|my tractor|my loader|my machine|i have|i've|i'm|i run|we have|we've|i got|ours|i want|i need|me i|so (?:i|we) (?:can|will|could))\b"
)
_DADS = re.compile(
    r"\b(?:it's|its|it is|this is|tractor is|use|using|have|run|running|running on|borrow|on|for|with) (?:actually )?(?:my |our |the )?(?:dad|father|grandpa|wife|husband|son|brother|mom|mother|grandfather|old man|farm|church|family)'?s\b"
)
_SUPPOSED = re.compile(
    r"\bif (?!(?:it|that) (?:helps|matters)|needed|you (?:need|want|must)|not\b|possible|so\b)|\b(?:thinking|thought|dreaming|talking) (?:of|about|on) (?:buying|getting|trading|upgrading|filling|loading|adding|going|putting|hanging)\b"
    r"|\bconsidering\b|\b(?:plan(?:ning)?|going|want(?:ing)?|hop(?:e|ing)|like|meaning|need|intend(?:ing)?|have|about|tempted|willing|ready|able) (?:to|on) (?:add|adding|buy|buying|fill|filling|trade|upgrade|load the|get the|get a (?:bigger|new)|have the|have them|build|make|put)\b"
    r"|\b(?:might|could|may|should i|would i|do i need to|can i|will i have to|shall i|i'd|would) (?:just |also |always |maybe |have to |need to )?(?:buy|get|add|fill|load|trade|upgrade|put|hang|build|make|be better)\b"
    r"|\b(?:i|we) (?:said|wrote|told you|put down)\b(?= [^.;\n]{1,40}\b(?:but|forget|scratch|wrong|actually|mistake))|\bi (?:thought|figured|assumed|believed) (?:it|that|she|we|there|they)\b(?=[^.;\n]{1,50}\b(?:but|turns out|actually)\b)"
    r"|\b(?:instead of|rather than|i wish|wish (?:it|i)|unlike|as opposed to|compared (?:to|with)|versus|suppose|supposing|imagine|what about|how about|say i had|assuming|would have been|would be (?:better|nice)|were to|in case|unless)\b"
)
_ASKS = re.compile(
    r"\b(?:is|are|was|were|isn't|aren't|does|do|did|don't|doesn't|has|have|should|could that be|would that be|might that be|what|which|whats|what's|how (?:much|many|big|heavy|wide|high|tall|strong))\b"
)
_WONDERS = re.compile(
    r"\b(?:i wonder(?:ing)?|wondering|do you know|can you tell|could you tell|tell me|let me know|not sure|unsure|no idea|don't know|dont know|do not know|can't say|cant say|cannot say|never (?:checked|counted|looked)|haven't (?:checked|counted|looked)|have to (?:check|look)|i forget|can't remember|cant remember|don't remember|dont remember|not certain|wasn't sure|you tell me|please advise) (?:me )?(?:if|whether|what|which|how (?:many|much)|about|on|the)\b"
)
_THING_ASKED = re.compile(
    r"^\s*(?:and |but |so )?(?:would|could|will|can|should|might) (?:a|an|another|any|one|two|more)\b[^,]{0,12}$|^\s*(?:and |but |so )?(?:would|will|do|does|should) (?:i|we|it|that|this) (?:also |really |even )?(?:need|require|have to have)\b[^,]{0,14}$"
)
_HAVE_STATED = re.compile(
    r"\b(?:i|we|it|she|tractor|machine|loader|that|which|one|and|who) (?:do |does )?(?:is|are|was|has|have|does|do)$|^(?:have|has) (?:a|an|the|got|two|one|no)\b"
)
_LEFT_OUT = re.compile(
    r"\b(?:leave (?:it|that|that one|him|her) out|forget (?:about )?(?:it|that)|ignore (?:it|that)|stays (?:with|on) the (?:mower|plow|deck|snow)|not (?:that|this) one|doesn't count|does not count|isn't the one|is not the one|don't (?:count|bother with|worry about) (?:it|that)|has nothing to do with|not about (?:it|that)|is sold|got sold|was sold|is gone|went away)\b"
)
_NOT = re.compile(
    r"\b(?:no|not|never|without|w/o|isn't|isnt|aren't|arent|ain't|aint|wasn't|wasnt|don't|dont|doesn't|doesnt|didn't|didnt|haven't|havent|hasn't|hasnt|can't|cant|won't|wont|wouldn't|nor|neither|nobody|no one|none|lacks?|lacking|nix|kein\w*|zero|minus|missing)\b"
)
_NOT_REALLY = re.compile(
    r"\bno (?:more|less|bigger|longer|heavier|wider|thicker|steeper|worse) than\b|\bnot (?:over|more than|less than|sure|only|certain|exactly|quite|much over|too|that)\b|\bno (?:problem|doubt|matter|idea|clue|biggie)\b|\bdon'?t (?:know|think|forget|mind|laugh)\b|\bnever mind\b|\bnothing (?:over|bigger|more)\b|\bwhy not\b|\bno longer than\b|\bno\.? ?\d|\bno,? wait\b|\bno (?:problem|sweat|trouble|rush|hurry)\b"
)


@dataclass(frozen=True)
class Letter:
    """A letter's text, made plain; every position is that of the text as it came."""

    raw: str
    models: tuple[str, ...] = ()  # words of tractors' names

    @cached_property
    def low(self) -> str:
        """The plain text of the writer's own words."""
        return joined(own_words(plain(self.raw)))

    @cached_property
    def shown(self) -> str:
        """The text as typed, what others wrote and what stands under a signature's mark blanked; for names and numbers.

        The first lines below the mark stay: that is where a name and a number stand.
        """
        kept = passed_on(plain(self.raw))
        return "".join(raw if low != "\n" else "\n" for raw, low in zip(self.raw, kept, strict=True))

    @cached_property
    def amounts(self) -> list[Amount]:
        """Every amount in it."""
        return with_units(self.low, amounts(self.low))

    @cached_property
    def stops(self) -> list[int]:
        """Where sentences end."""
        ends = []
        for match in _STOP.finditer(self.low):
            if match.group() == "." and _ABBREVIATED.search(self.low, max(0, match.start() - 8), match.start()):
                follows = self.raw[match.end() : match.end() + 3].strip()
                single = re.search(r"(?:^|[ .])[a-z]$", self.low[max(0, match.start() - 2) : match.start()])
                if not follows[:1].isupper() or single:
                    continue
            ends.append(match.end())
        return _unpunctuated(self.low, ends)

    @cached_property
    def breaks(self) -> list[int]:
        """Where clauses end, sentences' ends among them."""
        return sorted({*self.stops, *(match.start() for match in _CLAUSE.finditer(self.low))})

    def sentence(self, at: int) -> tuple[int, int]:
        """The sentence around a position."""
        return _around(self.stops, at, len(self.low))

    def clause(self, at: int) -> tuple[int, int]:
        """The clause around a position."""
        return _around(self.breaks, at, len(self.low))

    def before(self, at: int, most: int = 60) -> str:
        """What the sentence says before a position."""
        return self.low[max(self.sentence(at)[0], at - most) : at]

    def after(self, at: int, most: int = 60) -> str:
        """What the sentence says after a position."""
        return self.low[at : min(self.sentence(at - 1 if at else 0)[1], at + most)]

    @cached_property
    def _foreign(self) -> list[tuple[int, int]]:
        found: list[tuple[int, int]] = []
        for match in _FOREIGN.finditer(self.low):
            start, end = self.sentence(match.start())
            own = _DADS.search(self.low, max(start, match.start() - 24), min(end, match.end() + 12))
            if own or (found and match.start() < found[-1][1]):
                continue
            for _ in range(6):
                if end < len(self.low) and _GOES_ON.match(self.low, end):
                    end = self.sentence(end)[1]
            back = _BACK_HOME.search(self.low, match.end(), end)
            found.append((match.start(), back.start() if back else end))
        return found + self._goes_on

    @cached_property
    def _goes_on(self) -> list[tuple[int, int]]:
        """Sentences on "he has" right behind one that names a neighbour or the like, whatever that one says."""
        found = []
        for end in self.stops:
            named = _THIRD.search(self.low, self.sentence(end - 1)[0], end)
            if named and _HE_HAS.match(self.low, end):
                start, stop = self.sentence(end)
                back = _BACK_HOME.search(self.low, start, stop)
                found.append((start, back.start() if back else stop))
        return found

    @cached_property
    def _supposed(self) -> list[tuple[int, int]]:
        found = []
        for match in _SUPPOSED.finditer(self.low):
            end = self.sentence(match.start())[1]
            comma = re.compile(r"(?<!\d),|\bthen\b|\bbut\b| - ").search(self.low, match.end(), end)
            found.append((match.start(), comma.start() if comma else end))
        return found

    def foreign(self, at: int) -> bool:
        """Whether somebody else's things are spoken of."""
        return _within(self._foreign, at)

    def supposed(self, at: int) -> bool:
        """Whether it is only supposed, planned or wished for."""
        return _within(self._supposed, at)

    def asked(self, at: int) -> bool:
        """Whether the thing itself is asked about."""
        start, end = self.clause(at)
        whole = self.sentence(at)
        head = self.low[start:at]
        if _THING_ASKED.search(head) and "?" in self.low[at : whole[1]]:
            return True
        if _WONDERS.search(self.low, max(whole[0], at - 70), at):
            return True
        if not self.low[whole[0] : whole[1]].rstrip().endswith("?"):
            return False
        if re.match(
            r"[^?]{0,40}\b(?:enough|sufficient|plenty|too (?:much|little|small|big)|a lot)\b", self.low[at : whole[1]]
        ) and re.search(
            r"\b(?:would|will|is|are|was|do|does|can|could|might|should) (?:an? |about |it )?$", self.low[whole[0] : at]
        ):
            return True
        tail = self.low[end : whole[1]].strip(" ,?")
        if self.low[at : whole[1]].count(",") <= 1 and re.fullmatch(
            r"(?:right|correct|or (?:no|what|not)|isn't it|is it|yes|i think)", tail
        ):
            return True
        match = _ASKS.search(head)
        if match is None:
            only = re.fullmatch(r"[^,?]{0,40}\?", self.low[max(start, at) : whole[1]].strip())
            return bool(
                only
                and start == whole[0]
                and not re.search(
                    r"\b(?:on|for|with|my|our|lift|fit|handle|carry|pick|move|can|will|could|would|cost|price)\b", head
                )
            )
        return not _HAVE_STATED.search(head[: match.end()].strip())

    def denied(self, at: int, reach: int = 34) -> bool:
        """Whether the words right before a position deny what follows."""
        start = max(self.clause(at)[0], at - reach)
        head = _NOT_REALLY.sub(lambda match: "~" * len(match.group()), self.low[start:at])
        return _NOT.search(head) is not None

    def own(self, at: int) -> bool:
        """Whether a fact at a position is stated, and of the writer's own things."""
        return not (self.foreign(at) or self.supposed(at) or self.asked(at))

    def own_name(self, at: int) -> bool:
        """Whether a tractor's name is that of the writer's own, though the sentence may ask what it can do."""
        if (
            self.foreign(at)
            or self.denied(at, 24)
            or _LEFT_OUT.search(self.low, at, self.sentence(at)[1])
            or (
                self.supposed(at)
                and re.search(
                    r"\b(?:buy|bought|get|got|had|trade|trading|upgrad\w*|considering|buying|getting|instead|versus|unlike|than)\b[a-z ]{0,30}$",
                    self.before(at, 60),
                )
            )
        ):
            return False
        return not re.search(
            r"\b(?:is it|does it|like|same as|than|fits?|made for|meant for|off|from) (?:a|an|the|that) ?$",
            self.before(at, 30),
        ) or bool(re.search(r"\b(?:fits?|will it fit) (?:a|an|the) ?$", self.before(at, 30)))

    def own_wish(self, at: int) -> bool:
        """Whether a thing named is one that the writer asks for: not another's, not refused."""
        leaves = re.match(
            r"[a-z ]{0,30}\b(?:rather leave|leave (?:alone|those|them|be)|stay where|already gone)\b",
            self.after(at, 60),
        )
        return not self.foreign(at) and not self.denied(at, 30) and not leaves

    def span(self, start: int, end: int) -> tuple[int, int]:
        """A span without the blanks at its ends."""
        while start < end and self.low[start] in " ,.\n":
            start += 1
        while end > start and self.low[end - 1] in " ,\n":
            end -= 1
        return start, end

    def fact(
        self,
        place: str,
        value: Value,
        start: int,
        end: int,
        why: str,
        sure: bool = True,
        entry: str | int | bool | None = None,
    ) -> Found:
        """A fact at a span of this letter."""
        start, end = self.span(start, end)
        return Found(
            place,
            value,
            value if entry is None and not isinstance(value, float) else entry if entry is not None else str(value),
            start,
            end,
            sure,
            why,
        )


_STARTS = re.compile(
    r"(?<=[a-z0-9\"'%] )(?:(?:and |but |so |also )?(?:i(?:'ve| have| got| am|'m| want| need| keep| run| would|'d| leave| cut| limb| do)|got|its|it's|it (?:is|has|weighs)|my (?!own)|the (?:tractor|bucket|loader|gate|logs|ground|slope|hill)|there(?:'s| is)|we(?:'ve| have)|tractor is|call|quick attach|bucket|tires|number is|name is|live in|hope|thanks))\b"
)
RUN_ON = 150  # characters without a stop or a comma, from which a letter is taken for one that has none


def _unpunctuated(low: str, ends: list[int]) -> list[int]:
    """In a run without any stop, a new sentence begins where words for one stand."""
    made, begin = list(ends), 0
    for end in [*ends, len(low)]:
        if end - begin > RUN_ON and not re.search(r",(?!\d)|[:(]| - ", low[begin:end]):
            made += [match.start() for match in _STARTS.finditer(low, begin + 1, end)]
        begin = end
    return sorted(set(made))


def _around(ends: list[int], at: int, length: int) -> tuple[int, int]:
    place = bisect_right(ends, at)
    return (ends[place - 1] if place else 0), (ends[place] if place < len(ends) else length)


def _within(spans: list[tuple[int, int]], at: int) -> bool:
    return any(start <= at < end for start, end in spans)
