"""A letter made plain without moving a character: case, quotation marks, line breaks; what others wrote is blanked."""

from __future__ import annotations

import re

SAME = {
    **dict.fromkeys("’‘′´`ʼ", "'"),
    **dict.fromkeys("“”″„‟", '"'),
    **dict.fromkeys("‐‑‒–—−", "-"),
    **dict.fromkeys("\u00a0\u2007\u2009\u202f\t\u200b\u200e\u200f\ufeff", " "),
    **dict.fromkeys("\r\v\f\u2028\u2029\x85", "\n"),
    **dict.fromkeys("×✕", "x"),
    **dict.fromkeys("•●▪◦·*_", " "),
    "≈": "~",
}
_TABLE = str.maketrans(SAME)
_QUOTED = re.compile(r"^[ ]*[>|].*$", re.M)
_OTHERS = re.compile(
    r"^[ ]*(?:-{2,}[ ]*original message[ ]*-{2,}|on [^\n]{3,160}(?:\n[^\n]{0,80})?\bwrote:|am [^\n]{3,120}\bschrieb\b[^\n]*:)",
    re.M,
)
_HEADED = re.compile(r"^[ ]*from:[^\n]*\n(?:[ ]*(?:sent|date|to|cc|subject):[^\n]*\n){1,6}", re.M)
_FORWARD = re.compile(r"^[ ]*(?:-{2,}[ ]*forwarded message[ ]*-{2,}|begin forwarded message:?)[^\n]*$", re.M)
_HEADER = re.compile(r"^[ ]*(?:from|sent|date|to|cc|subject|reply-to|message-id|received|x-[a-z-]+):[^\n]*$", re.M)
_SIGNATURE = re.compile(r"^[ ]*--[ ]*$", re.M)
_SENT_FROM = re.compile(r"^[ ]*(?:sent from my|get outlook for|sent via|sent from)\b", re.M)
_LINKS = re.compile(
    r"https?://\S{1,400}|www\.\S{1,200}|\S{1,64}@[a-z0-9-]{1,63}(?:\.[a-z0-9-]{1,63}){1,4}|<[^<>\n]{1,300}>"
)
_ANSWERS = re.compile(r"^[ >]*q\d{1,2}[ ]*\[[a-z_0-9.]{1,60}\][ ]*:[^\n]*$", re.M)
_BULLET = re.compile(r"[ ]*(?:[-+]|\d{1,2}[.)]|[a-z0-9 /]{2,24}:)[ ]")
CLOSING = re.compile(
    r"^[ ]*(?:many thanks|much appreciated|appreciate it|thank you(?: very much| so much| kindly| for [a-z ]{3,40}| in advance| all)?|thanks(?: much| again| a lot| a bunch| so much| for [a-z ]{3,40}| in advance| in advance for [a-z ]{3,30}| guys| folks| and regards)?|thx|tia|cheers|(?:kind |best |warm )?regards|best(?: wishes)?|sincerely(?: yours)?|yours(?: truly| sincerely| faithfully)?|respectfully|take care|later|cordially|mit freundlichen gr\S+|mfg|viele gr\S+|talk soon|god bless|have a good (?:one|day)|all the best|looking forward[a-z ]*)[ ]*[,.!-]*[ ]*$",
    re.M,
)
_AFTERWARDS = re.compile(r"^[ ]*(?:p\.? ?s\b\.?|pps|oh,? and|one more|also|edit|forgot)", re.M)
SIGNED_MOST = 9  # lines below a closing that can be a signature
FORWARDED_AFTER = 240  # characters above a forwarded letter that are still only a word of passing it on


def plain(text: str) -> str:
    """The text in lower case with one kind of each mark, every character where it was.

    >>> plain("24 HP – 5’6”")
    '24 hp - 5\\'6"'
    """
    spread = text.translate(_TABLE)
    low = spread.lower()
    if len(low) != len(spread):  # a letter whose small form is longer
        low = "".join(small if len(small := one.lower()) == 1 else one for one in spread)
    return "".join(" " if one < " " and one != "\n" else one for one in low)


def own_words(low: str) -> str:
    """The plain text with all that its writer did not say himself turned into line breaks.

    Quoted letters, headers, what stands below the signature's mark, addresses of pages, answer lines to questions.

    >>> own_words("ok\\n> 24 hp").strip()
    'ok'
    """
    return _signed_off(passed_on(low))


def passed_on(low: str) -> str:
    """The plain text without what others wrote, headers, addresses of pages and answer lines; the signature stays."""
    for pattern in (_ANSWERS, _QUOTED):
        low = pattern.sub(_blank, low)
    low = _cut(low, [match.start() for match in _OTHERS.finditer(low)])
    low = _forwarded(low)
    low = _cut(low, [match.start() for match in _HEADED.finditer(low) if low[: match.start()].strip()])
    low = _HEADER.sub(_blank, low)
    low = _LINKS.sub(_blank, low)
    sent = _SENT_FROM.search(low)
    return low if sent is None else _cut(low, [sent.start()])


def _blank(match: re.Match[str]) -> str:
    return "\n" * (match.end() - match.start())


def _cut(low: str, starts: list[int]) -> str:
    at = min(starts, default=len(low))
    return low[:at] + "\n" * (len(low) - at)


def _forwarded(low: str) -> str:
    """A letter that is passed on is read; below a letter of one's own it is somebody else's."""
    match = _FORWARD.search(low)
    if match is None:
        return low
    if len(low[: match.start()].strip()) > FORWARDED_AFTER:
        return _cut(low, [match.start()])
    head = re.compile(r"(?:[ ]*(?:from|sent|date|to|cc|subject):[^\n]*\n|[ ]*\n){0,9}").match(low, match.end())
    return (
        low[: match.start()]
        + "\n" * ((head.end() if head else match.end()) - match.start())
        + low[head.end() if head else match.end() :]
    )


def _signed_off(low: str) -> str:
    """Below the mark of a signature at most the first lines, for name, place and number, are kept by other rules."""
    match = _SIGNATURE.search(low)
    if match is not None:
        low = _cut(low, [match.start()])
    closings = [one for one in CLOSING.finditer(low) if low[: one.start()].strip()]
    if not closings:
        return low
    at = closings[-1].end()
    rest = [line for line in low[at:].split("\n") if line.strip()]
    if len(rest) > SIGNED_MOST or any(len(line) > 140 for line in rest):
        return low
    after = _AFTERWARDS.search(low, at)
    end = after.start() if after else len(low)
    return low[:at] + "\n" * (end - at) + low[end:]


def joined(low: str) -> str:
    """Line breaks that a narrow window made become spaces; those that the writer made stay.

    >>> joined("a" * 60 + " and then it was\\nbroken here\\n- one").count("\\n")
    1
    """
    lines = low.split("\n")
    widths = [len(line) for line in lines if len(line) < 110]
    width = max(widths, default=0)
    out = []
    for line, following in zip(lines, [*lines[1:], ""], strict=True):
        first = len(following.split(" ", 1)[0])
        soft = (
            len(line) >= 42
            and following.strip() != ""
            and len(line) + 1 + first > width - 8
            and len(line) <= width
            and line.rstrip()[-1:] not in ".!?:;"
            and not _BULLET.match(following)
        )
        out.append(line + (" " if soft else "\n"))
    return "".join(out)[: len(low)]
