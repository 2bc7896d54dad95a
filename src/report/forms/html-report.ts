import type { Block, Content, Figure, Reader, Table } from '../content/blocks.ts';
import { base64 } from '../../formats/base64.ts';
import { utf8 } from '../record/bytes.ts';
import { reportContent } from '../content/content.ts';
import { ATTACHMENT_NAME, recordBytes, type ReportRecord } from '../record/record.ts';
import { picturesHtml, type ReportPicture } from './report-pictures.ts';
import { escaped, svg } from '../../figures/svg.ts';
import { LOCALES, type Language } from '../../text/language.ts';
import { REPORT_WORDS } from '../content/words/report-words.ts';
import { statedForm } from './stated.ts';

/** What marks the link that carries the data. */
export const DATA_LINK = 'evencast-data';

/** How the elements of `blockHtml` look. */
export const STYLE = `
:root{color-scheme:light;font:15px/1.45 system-ui,'Segoe UI',Roboto,'Noto Sans',sans-serif;color:#1b2220;background:#fff}
body{max-width:48rem;margin:0 auto;padding:1.5rem 1rem;overflow-wrap:anywhere}
h1{font-size:1.6rem;line-height:1.2;border-bottom:2px solid;padding-bottom:.3rem;margin:0 0 .75rem}
h2{font-size:1.15rem;border-bottom:1px solid;margin:1.75rem 0 .5rem}
h3{font-size:1rem;margin:1.25rem 0 .35rem}
p,ul,dl,figure{margin:.5rem 0}ul{padding-left:1.2rem}
.small{font-size:.85rem}
.caution{border:1px solid;padding:.5rem .75rem;font-size:.85rem}
.verdict{display:flex;flex-wrap:wrap;gap:.25rem 1.25rem;align-items:baseline;border:3px solid;padding:.5rem .75rem}
.verdict>*{flex:1 1 18rem;margin:0}.verdict>strong{flex:0 0 auto;font-size:1.35rem}
.fail{border-style:double;border-width:6px}.undecided{border-style:dashed}
dl{display:grid;grid-template-columns:repeat(auto-fit,minmax(17rem,1fr));gap:.1rem 1.5rem}
dl div{display:grid;grid-template-columns:7.5rem 1fr}dt{color:#53605b}dd{margin:0;font-weight:600}
.wide{overflow-x:auto}
table{border-collapse:collapse;font-size:.85rem;font-variant-numeric:tabular-nums;margin:.75rem 0}
.fine{font-size:.72rem}
caption{text-align:left;font-weight:600;padding-bottom:.2rem}
th,td{text-align:left;padding:.15rem .8rem .15rem 0;border-bottom:1px solid #c9cdc8;vertical-align:top}
tbody th{font-weight:400}thead th{border-bottom:1px solid #1b2220;vertical-align:bottom}
.n{text-align:right}
table{overflow-wrap:normal}.n,tbody th{white-space:nowrap}
svg{display:block;width:100%;height:auto}figcaption{font-size:.85rem}
img{display:block;width:100%;height:auto}
.gallery{display:grid;grid-template-columns:repeat(auto-fill,minmax(9.5rem,1fr));gap:.75rem}
footer{margin-top:2rem;border-top:1px solid;padding-top:.5rem;font-size:.85rem}
@media print{body{max-width:none;padding:0;font-size:12px}h2,h3{break-after:avoid}figure,.verdict,tr{break-inside:avoid}}
`;

/**
 * A report as one HTML file: no script, nothing fetched, its data in a link that saves them.
 *
 * @param pictures  Photos made small, to be read along.
 * @returns Its bytes; same record, same bytes.
 */
export function htmlReport(
  record: ReportRecord,
  reader: Reader,
  pictures: readonly ReportPicture[] = [],
  language: Language = 'en',
): Uint8Array {
  const content = reportContent(record, reader, language);
  const words = REPORT_WORDS[language].file;
  const data = `data:application/json;base64,${base64(recordBytes(record))}`;
  return utf8(
    [
      '<!doctype html>',
      `<html lang="${LOCALES[language]}">`,
      '<head>',
      '<meta charset="utf-8">',
      `<meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'; img-src data:; base-uri 'none'; form-action 'none'">`,
      '<meta name="viewport" content="width=device-width, initial-scale=1">',
      '<meta name="referrer" content="no-referrer">',
      `<meta name="generator" content="Evencast; ${statedForm(reader, null, language)}">`,
      `<title>${words.title(record.number)}</title>`,
      `<style>${STYLE}</style>`,
      '</head>',
      '<body>',
      '<main>',
      ...content.blocks.map(blockHtml),
      ...(pictures.length === 0 ? [] : [picturesHtml(pictures, language)]),
      '</main>',
      footer(content, words.save, data),
      '</body>',
      '</html>',
      '',
    ].join('\n'),
  );
}

const footer = ({ foot }: Content, save: string, data: string): string =>
  `<footer>${own(foot)} \u00b7 <a id="${DATA_LINK}" download="${ATTACHMENT_NAME}" href="${data}">${save}</a></footer>`;

/** Text with its own direction: what stands in it cannot turn what stands beside it. */
const own = (t: string): string => `<bdi>${escaped(t)}</bdi>`;

/** A piece of a report as HTML. */
export function blockHtml(b: Block): string {
  switch (b.kind) {
    case 'heading':
      return `<h${b.level}>${own(b.text)}</h${b.level}>`;
    case 'text':
      return `<p${b.small ? ' class="small"' : ''}>${own(b.text)}</p>`;
    case 'list':
      return `<ul>${b.items.map((i) => `<li>${own(i)}</li>`).join('')}</ul>`;
    case 'caution':
      return `<p class="caution">${own(b.text)}</p>`;
    case 'verdict':
      return `<div class="verdict ${b.verdict ?? 'none'}"><strong>${own(b.word)}</strong><p>${own(b.text)}</p></div>`;
    case 'facts':
      return `<dl>${b.rows.map((f) => `<div><dt>${own(f.label)}</dt><dd>${own(f.value)}</dd></div>`).join('')}</dl>`;
    case 'table':
      return table(b);
    case 'figure':
      return figure(b);
    case 'gallery':
      return `<div class="gallery">${b.figures.map(figure).join('')}</div><p class="small">${own(b.caption)}</p>`;
  }
}

const figure = (f: Figure): string =>
  `<figure>${svg(f.drawing, f.about)}<figcaption>${own(f.caption)}</figcaption></figure>`;

function table({ caption, head, rows, fine }: Table): string {
  const mark = (c: number): string => (head[c]!.number ? ' class="n"' : '');
  const cells = (r: readonly string[]): string =>
    r.map((t, c) => (c === 0 ? `<th scope="row"${mark(c)}>${own(t)}</th>` : `<td${mark(c)}>${own(t)}</td>`)).join('');
  return `<div class="wide" tabindex="0" role="region" aria-label="${escaped(caption)}"><table${fine ? ' class="fine"' : ''}><caption>${own(caption)}</caption><thead><tr>${head.map((h, c) => `<th scope="col"${mark(c)}>${own(h.text)}</th>`).join('')}</tr></thead><tbody>${rows.map((r) => `<tr>${cells(r)}</tr>`).join('')}</tbody></table></div>`;
}
