"""The linter finds single faults planted in a good file, and is silent about the good file."""

from __future__ import annotations

import io
import zipfile

import pytest
from writers import reading, sample

from msadraft.agreement.numbering import number
from msadraft.writers.docx import write_docx
from msadraft.writers.docx.lint import lint
from msadraft.writers.docx.package import pack

DOCUMENT = "word/document.xml"
NUMBERING = "word/numbering.xml"
STYLES = "word/styles.xml"


def _good() -> dict[str, bytes]:
    agreement = sample.agreement(rows=3)
    return reading.parts(write_docx(agreement, number(agreement), sample.DRAFT))


GOOD = _good()
FIRST_MARK = '<w:bookmarkStart w:id="1" w:name="_P_article_background_88000ed5"/>'
TRACKED = '<w:ins w:id="{}" w:author="{}" w:date="{}"><w:r><w:t>new</w:t></w:r></w:ins>'
END = '<w:bookmarkEnd w:id="1"/>'

FAULTS = [
    (DOCUMENT, "</w:body>", "", "not well-formed"),
    (DOCUMENT, "<w:body>", "<w:body>\x01", "not well-formed"),
    (DOCUMENT, '<w:pStyle w:val="Heading1"/>', '<w:pStyle w:val="Nowhere"/>', "style 'Nowhere'"),
    (DOCUMENT, '<w:tblStyle w:val="Schedule"/>', '<w:tblStyle w:val="Gone"/>', "style 'Gone'"),
    (DOCUMENT, '<w:rStyle w:val="Blank"/>', '<w:rStyle w:val="Lost"/>', "style 'Lost'"),
    (DOCUMENT, END, "", "does not end"),
    (DOCUMENT, FIRST_MARK, "", "ends before it starts"),
    (DOCUMENT, FIRST_MARK, END + FIRST_MARK, "ends before it starts"),
    (DOCUMENT, END, END + END, "ends twice"),
    (DOCUMENT, 'w:id="2" w:name="', 'w:id="1" w:name="', "bookmark id 1 stands twice"),
    (DOCUMENT, 'w:id="1" w:name="_P_article_background_88000ed5"', 'w:id="1" w:name="P article"', "bookmark name"),
    (DOCUMENT, 'w:id="1" w:name="', 'w:id="1" w:name="_P_aaaaaaaaaaa', "too long"),
    (DOCUMENT, "_P_background_parties_73cadfdd", "_P_ARTICLE_background_88000ed5", "stands twice"),
    (DOCUMENT, " REF _P_", " REF _Q_", "reference points to the bookmark _Q_"),
    (DOCUMENT, r"\n \h ", r"\r \h ", "depends on its place"),
    (DOCUMENT, 'w:anchor="_P_', 'w:anchor="_Q_', "link points to the bookmark _Q_"),
    (DOCUMENT, '<w:r><w:fldChar w:fldCharType="end"/></w:r>', "", "field does not end"),
    (DOCUMENT, '<w:r><w:fldChar w:fldCharType="begin"/></w:r>', "", "without a beginning"),
    (DOCUMENT, 'w:fldCharType="separate"', 'w:fldCharType="seperate"', "part 'seperate'"),
    (DOCUMENT, FIRST_MARK, FIRST_MARK + "<w:r><w:instrText>PAGE</w:instrText></w:r>", "outside a field"),
    (DOCUMENT, FIRST_MARK, FIRST_MARK + "<w:p/>", "w:p stands inside w:p"),
    (DOCUMENT, FIRST_MARK, FIRST_MARK + "loose", "text stands behind"),
    (DOCUMENT, FIRST_MARK, FIRST_MARK + "<w:r><w:r/></w:r>", "w:r stands inside w:r"),
    (DOCUMENT, FIRST_MARK, FIRST_MARK + "<w:r><w:delText>x</w:delText></w:r>", "outside deleted text"),
    (DOCUMENT, FIRST_MARK, FIRST_MARK + TRACKED.format(1, "", "2026-01-01T00:00:00Z"), "has no author"),
    (DOCUMENT, FIRST_MARK, FIRST_MARK + TRACKED.format(1, "A", "January"), "has the date"),
    (DOCUMENT, FIRST_MARK, FIRST_MARK + TRACKED.format(1, "A", "2026-01-01T00:00:00Z") * 2, "revision id 1"),
    (
        DOCUMENT,
        FIRST_MARK,
        FIRST_MARK + '<w:del w:id="1" w:author="A"><w:r><w:t>old</w:t></w:r></w:del>',
        "in deleted text",
    ),
    (DOCUMENT, "<w:tblGrid>", "<w:tblGrid><w:gridCol/>", "columns where its grid has"),
    (DOCUMENT, "</w:tbl>", "<w:tr/></w:tbl>", "row has no cells"),
    (DOCUMENT, "<w:tcPr>", '<w:tcPr><w:gridSpan w:val="0"/>', "spans no column"),
    (
        DOCUMENT,
        "</w:p></w:tc>",
        "</w:p><w:tbl><w:tblGrid><w:gridCol/></w:tblGrid></w:tbl></w:tc>",
        "does not end with a paragraph",
    ),
    (DOCUMENT, '<w:pStyle w:val="Caption"/>', '<w:pStyle w:val="Para1"/>', "preceded by an unnumbered"),
    (DOCUMENT, '<w:pStyle w:val="ClosingLine"/>', '<w:pStyle w:val="Para1"/>', "end with an unnumbered"),
    (DOCUMENT, "</w:sectPr>", "</w:sectPr><w:p/>", "section properties are not the last"),
    (DOCUMENT, 'r:id="rId5"', 'r:id="rId99"', "relationship 'rId99'"),
    (
        DOCUMENT,
        "<w:document ",
        '<w:document xmlns:mc="http://schemas.openxmlformats.org/markup-compatibility/2006" mc:Ignorable="w14" ',
        "prefix 'w14'",
    ),
    (DOCUMENT, "<w:p>", '<w:p w:rsidR="00000001">', "revision session id"),
    (DOCUMENT, "?>\n", "?>\n<!DOCTYPE w:document>", "document type"),
    (STYLES, '<w:basedOn w:val="TableText"/>', '<w:basedOn w:val="TableHead"/>', "based on itself"),
    (STYLES, '<w:basedOn w:val="TableText"/>', '<w:basedOn w:val="Absent"/>', "style 'Absent'"),
    (STYLES, 'w:styleId="Para2"', 'w:styleId="Para1"', "style id Para1 twice"),
    (STYLES, '<w:name w:val="Para2"/>', '<w:name w:val="Para1"/>', "two styles of the name"),
    (STYLES, '<w:numId w:val="2"/>', '<w:numId w:val="9"/>', "uses the list 9"),
    (NUMBERING, '<w:pStyle w:val="Para1"/>', '<w:pStyle w:val="Gone"/>', "style 'Gone'"),
    (NUMBERING, '<w:numFmt w:val="lowerRoman"/>', '<w:numFmt w:val="romanish"/>', "format 'romanish'"),
    (NUMBERING, '<w:lvlText w:val="(%3)"/>', "", "no pattern"),
    (NUMBERING, '<w:num w:numId="2">', '<w:num w:numId="1">', "list 1 twice"),
    (NUMBERING, '<w:abstractNumId w:val="2"/>', '<w:abstractNumId w:val="7"/>', "definition '7'"),
    (NUMBERING, 'w:abstractNumId="2"', 'w:abstractNumId="1"', "definition 1 twice"),
    (NUMBERING, "<w:suff ", "<w:isLgl/><w:suff ", "isLgl"),
    ("word/settings.xml", "<w:defaultTabStop ", '<w:updateFields w:val="true"/><w:defaultTabStop ', "updateFields"),
    ("docProps/core.xml", "T00:00:00Z<", "<", "not a date and time"),
    ("docProps/core.xml", "<dc:creator>", "<dc:title>x</dc:title><dc:creator>", "title twice"),
    ("word/_rels/document.xml.rels", 'Target="styles.xml"', 'Target="absent.xml"', "word/absent.xml"),
    ("word/_rels/document.xml.rels", 'Id="rId2"', 'Id="rId1"', "relationship rId1 twice"),
    ("[Content_Types].xml", '"/word/styles.xml"', '"/word/gone.xml"', "/word/gone.xml"),
    (
        "[Content_Types].xml",
        '<Override PartName="/word/fontTable.xml"',
        '<Override PartName="/word/styles.xml"',
        "twice",
    ),
]


def test_good_file_has_no_fault() -> None:
    assert lint(pack(GOOD)) == []


@pytest.mark.parametrize(
    ("part", "old", "new", "words"), FAULTS, ids=[f"{n}-{fault[3][:30]}" for n, fault in enumerate(FAULTS)]
)
def test_planted_fault_is_found(part: str, old: str, new: str, words: str) -> None:
    source = GOOD[part].decode()
    assert old in source
    found = lint(pack({**GOOD, part: source.replace(old, new, 1).encode()}))
    assert any(words in fault for fault in found), found


def test_part_twice_in_the_archive_is_found() -> None:
    buffer = io.BytesIO(pack(GOOD))
    with zipfile.ZipFile(buffer, "a") as archive, pytest.warns(UserWarning, match="Duplicate name"):
        archive.writestr(DOCUMENT, GOOD[DOCUMENT])
    assert any("stands twice in the archive" in fault for fault in lint(buffer.getvalue()))


def test_something_that_is_no_archive_is_found() -> None:
    assert lint(b"plain words") == ["the file is not a zip archive"]
    assert any("lacks" in fault for fault in lint(pack({"word/other.xml": b"<a/>"})))
