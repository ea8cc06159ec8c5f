"""Turns the text of papers into PDF files with WeasyPrint or ReportLab, for the benchmark to hold against.

    rivals.py weasyprint|reportlab TEXT.json OUT.pdf [TIMES]

One invariant: the same headings and paragraphs as the papers, in the same size, on the same paper; nothing is kept between papers.
TEXT.json is a list of [level, text]; level 0 is a paragraph. With TIMES it makes the file so often and prints the seconds of each.
"""

import html
import json
import sys
import time


def weasyprint(lines):
    from weasyprint import HTML

    body = "".join(f"<h{level}>{html.escape(text)}</h{level}>" if level else f"<p>{html.escape(text)}</p>" for level, text in lines)
    page = (
        '<!doctype html><html lang="en"><title>Paper</title><style>@page { size: A4; margin: 20mm } '
        f"body {{ font: 12pt/16pt sans-serif }} p {{ margin: 0 0 8pt }}</style>{body}"
    )
    return HTML(string=page).write_pdf(pdf_variant="pdf/ua-1")


def reportlab(lines):
    from io import BytesIO

    from reportlab.lib.pagesizes import A4
    from reportlab.lib.styles import ParagraphStyle
    from reportlab.platypus import Paragraph, SimpleDocTemplate

    body = ParagraphStyle("body", fontName="Helvetica", fontSize=12, leading=16, spaceAfter=8)
    heads = {level: ParagraphStyle(f"h{level}", fontName="Helvetica-Bold", fontSize=24 - 3 * level, leading=28 - 3 * level) for level in range(1, 6)}
    out = BytesIO()
    SimpleDocTemplate(out, pagesize=A4).build([Paragraph(html.escape(text), heads[level] if level else body) for level, text in lines])
    return out.getvalue()


def main(rival, text, out, times=None):
    with open(text, encoding="utf-8") as file:
        lines = json.load(file)
    make = {"weasyprint": weasyprint, "reportlab": reportlab}[rival]
    for _ in range(int(times or 1)):
        begun = time.perf_counter()
        pdf = make(lines)
        if times:
            print(time.perf_counter() - begun)
    with open(out, "wb") as file:
        file.write(pdf)


if __name__ == "__main__":
    main(*sys.argv[1:])
