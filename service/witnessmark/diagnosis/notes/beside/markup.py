"""Markup and addresses of a note that was copied from a page or a mail: they are no words of what was seen.

Everything is blanked in place, so that what is read stands where it stands in the note. Words between tags stay, and
what a picture is said to show: danger told there must be heard. Marks that may be arithmetic or emphasis (`<5 bar`,
`<smoke>`) are no tags. Every expression is bounded, so the whole is linear in the note.
"""

from __future__ import annotations

import re

_NAMES = (
    "a|abbr|article|aside|b|base|big|blockquote|body|br|button|center|code|col|dd|div|dl|dt|em|embed|font|footer|form|"
    "frame|h[1-6]|head|header|hr|html|i|iframe|img|input|label|li|link|main|meta|nav|object|ol|option|p|pre|q|s|"
    "script|section|select|small|span|strike|strong|style|sub|sup|svg|table|tbody|td|textarea|tfoot|th|thead|title|tr|"
    "tt|u|ul|video"
)
"""Elements of HTML; `<note>` may be somebody's emphasis."""
_VALUE = r"\"[^\"<>\n]{0,300}\"|'[^'<>\n]{0,300}'|[^\s\"'<>]{1,300}"
_ATTRIBUTE = rf"[a-z][\w:-]{{0,40}}\s{{0,3}}=\s{{0,3}}(?:{_VALUE})|checked|disabled|hidden|async|defer|selected"
"""With its value: `<p and current >b` compares."""
_TAG = rf"<(?:{_NAMES})(?![\w-])(?:[\s/]{{1,4}}(?:{_ATTRIBUTE})){{0,12}}[\s/]{{0,4}}>"
_CLOSING = r"</[a-z][\w:-]{0,40}\s{0,4}>"
_CODE = r"<(script|style)(?![\w-])[^<>\n]{0,300}>[^<]{0,2000}</\1\s{0,4}>"
_COMMENT = r"<!--|-->|<!doctype[^<>\n]{0,200}>"
_TABLE = r"\|(?:\s{0,3}[abcxyz]\s{0,3}\|){2,12}(?=\s{0,3}\n\|[ :|-]{1,200})|\|(?:[ :]{0,4}-{2,40}[ :]{0,4}\|){1,12}"
"""Columns that are named by a letter alone, and the rule below the names."""
_ENTITY = r"&(?:nbsp|amp|lt|gt|quot|apos|deg|#\d{1,6}|#x[0-9a-f]{1,5});"
_LINK = r"!?\[(?:click(?: here)?|here|link|open|image|clic(?: aqu[ií])?|aqu[ií]|clique(?: aqui)?)?\](?=\()"
_END = r"[^\s\"'<>]{0,500}"
_ADDRESS = (
    rf"(?<![\w])(?:[a-z][a-z0-9+.-]{{1,15}}://|www\.(?=\w)|javascript:(?=\S)|mailto:(?=\S)){_END}"
    rf"|(?<![\w:/])//(?=[\w-]{{1,63}}\.\w){_END}"
    r"|(?<![\w.+-])[\w.+-]{1,64}@[\w-]{1,63}(?:\.[\w-]{1,63}){1,5}"
)
_MARKUP = re.compile(f"{_CODE}|{_TAG}|{_CLOSING}|{_COMMENT}|{_TABLE}|{_ENTITY}|{_LINK}|{_ADDRESS}", re.IGNORECASE)
_SHOWN = re.compile(rf"(?<![\w-])(?:alt|title)\s{{0,3}}=\s{{0,3}}({_VALUE})", re.IGNORECASE)
_SIGNS = re.compile(r"<|://|//|&|\|-|\]\(|@|www\.|javascript:|mailto:|-->", re.IGNORECASE)


def words_alone(text: str) -> str:
    """The text with markup and addresses as blanks, of the same length.

    >>> words_alone("<b>no cooling</b> see http://x.invalid/a")
    '   no cooling     see                   '
    """
    return _MARKUP.sub(_blank, text) if _SIGNS.search(text) else text


def _blank(found: re.Match[str]) -> str:
    """Blanks, but for what a tag tells to whoever sees no picture, and the ends of lines."""
    told = found.group()
    kept = [span for m in _SHOWN.finditer(told) for span in range(m.start(1), m.end(1))] if told[0] == "<" else []
    shown = frozenset(kept)
    return "".join(sign if k in shown or sign == "\n" else " " for k, sign in enumerate(told))
