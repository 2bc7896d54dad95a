import { parseArgs } from 'node:util';
import { READERS, type Reader } from '../report/content/blocks.ts';
import { PAPERS, type Paper } from '../report/forms/card-pdf.ts';
import { RULE_DEFAULTS, RULE_KINDS, type DecisionRule } from '../judging/decision.ts';
import { ABOUT_KEYS, type About } from '../report/record/record.ts';
import { languageNamed, LANGUAGES, type Language } from '../text/language.ts';
import { CLASSES, type ClassName } from '../judging/tolerance.ts';

export const FORMATS = ['pdf', 'html', 'csv', 'png', 'json'] as const;
export type Format = (typeof FORMATS)[number];

/** What was typed for which part of {@link About}. */
const ABOUT_OPTIONS = {
  die: 'die',
  maker: 'maker',
  by: 'measuredBy',
  date: 'measuredOn',
  reported: 'reportedOn',
  place: 'place',
  conditions: 'conditions',
  ruler: 'ruler',
  note: 'note',
} as const satisfies Readonly<Record<string, keyof About>>;

export const USAGE = `usage: npm run -s evencast -- report RESULT.json --for READER --format FORMAT [OPTIONS] > FILE
       npm run -s evencast -- report --check FILE [--photos FOLDER] [--json]
       npm run -s evencast -- report --new-key [--key-kind ECDSA-P256|Ed25519] > KEY.json
  RESULT.json   what "measure --json" prints, or a report as JSON, whose data are then kept as they are
  --for         buyer (1 page), seller (2 pages), laboratory (everything; lab for short)
  --format      ${FORMATS.join(', ')}
  --paper       ${Object.keys(PAPERS).join(' or ')}, for PDF; a4 where left out
  --language    of PDF, HTML and PNG: ${LANGUAGES.join(' or ')}; en where left out
  --photos      folder of the photos and their job.json: their SHA-256 go into the report
  --faces       folder that "measure --faces" wrote: the die's faces, unfolded, go into the report
  --limits      file of limits: { "name", "source", "size": { "nominal", "minus", "plus" }, "range": { "high" },
                "edges": { "low", "high" }, "chances": { "low", "high" } }, mm, chances as shares of an even die's
  --class       ${Object.keys(CLASSES).join(', ')}: common practice, no published source
  --rule        ${RULE_KINDS.join(', ')}; guard (w = U95) where left out
  --probability for the rule "shared": 0.5 to 0.9999; ${RULE_DEFAULTS.probability} where left out
  --die, --maker, --by, --date, --reported, --place, --conditions, --ruler, --note   what the report shall say (dates YYYY-MM-DD)
  --about       file with the same: { ${ABOUT_KEYS.map((k) => `"${k}"`).join(', ')} }
  --sign        file of a key as --new-key makes it; keep it to yourself
  --out         file to write instead of stdout
  --log         log of this very die's rolls: the report says whether shape and rolls agree
  --check       opens a report (PDF, HTML, JSON), says whether data, page and digests agree; with --photos measures again
Same input, same bytes; the date of the report is today's where --reported is left out. A digest proves sameness, not truth or authorship.
Exit code: 0 done, 2 usage, 3 not a result, or something in the report does not agree.
`;

export interface Options {
  readonly file: string | null;
  readonly check: string | null;
  readonly newKey: boolean;
  readonly keyKind: string;
  readonly reader: Reader;
  readonly format: Format;
  readonly paper: Paper;
  readonly language: Language;
  readonly photos: string | null;
  readonly faces: string | null;
  readonly log: string | null;
  readonly limits: string | null;
  readonly className: ClassName | null;
  readonly rule: DecisionRule;
  readonly about: Partial<About>;
  readonly aboutFile: string | null;
  readonly sign: string | null;
  readonly out: string | null;
  readonly json: boolean;
}

const text = { type: 'string' } as const;

const OPTIONS = {
  for: text,
  format: text,
  paper: { ...text, default: 'a4' },
  language: { ...text, default: 'en' },
  photos: text,
  faces: text,
  log: text,
  limits: text,
  class: text,
  rule: { ...text, default: RULE_DEFAULTS.rule.kind },
  probability: text,
  about: text,
  sign: text,
  out: text,
  check: text,
  'new-key': { type: 'boolean', default: false },
  'key-kind': { ...text, default: 'ECDSA-P256' },
  json: { type: 'boolean', default: false },
  die: text,
  maker: text,
  by: text,
  date: text,
  reported: text,
  place: text,
  conditions: text,
  ruler: text,
  note: text,
} as const;

const parsed = (args: readonly string[]) => parseArgs({ args: [...args], allowPositionals: true, options: OPTIONS });
type Values = ReturnType<typeof parsed>['values'];

/** What was asked for, or what is wrong with it. */
export function reportOptions(args: readonly string[]): Options | string {
  try {
    const { values, positionals } = parsed(args);
    return chosen(values, positionals);
  } catch (error) {
    return (error as Error).message;
  }
}

function chosen(v: Values, files: readonly string[]): Options | string {
  // Neither checking nor making a key writes a report.
  const alone = v.check !== undefined || v['new-key'];
  if (files.length !== (alone ? 0 : 1))
    return `${files.length} files given, ${alone ? 'none' : '1'} needed beside the options`;
  const format = FORMATS.find((known) => known === (v.format ?? (alone ? 'json' : '')));
  if (format === undefined) return `--format ${v.format ?? 'missing'}: ${FORMATS.join(', ')} needed`;
  const reader = readerOf(v.for, alone || ['csv', 'png', 'json'].includes(format));
  if (reader === undefined) return `--for ${v.for ?? 'missing'}: buyer, seller or laboratory needed`;
  if (!Object.hasOwn(PAPERS, v.paper)) return `--paper ${v.paper}: ${Object.keys(PAPERS).join(' or ')} needed`;
  const language = languageNamed(v.language);
  if (language === undefined) return `--language ${v.language}: ${LANGUAGES.join(' or ')} needed`;
  if (v.class !== undefined && !Object.hasOwn(CLASSES, v.class))
    return `--class ${v.class}: ${Object.keys(CLASSES).join(', ')} needed`;
  if (v.class !== undefined && v.limits !== undefined) return '--class and --limits exclude each other';
  const rule = ruleOf(v.rule, v.probability);
  if (typeof rule === 'string') return rule;
  return {
    file: files[0] ?? null,
    check: v.check ?? null,
    newKey: v['new-key'],
    keyKind: v['key-kind'],
    reader,
    format,
    paper: v.paper as Paper,
    language,
    photos: v.photos ?? null,
    faces: v.faces ?? null,
    log: v.log ?? null,
    limits: v.limits ?? null,
    className: (v.class ?? null) as ClassName | null,
    rule,
    about: aboutOf(v),
    aboutFile: v.about ?? null,
    sign: v.sign ?? null,
    out: v.out ?? null,
    json: v.json,
  };
}

/** Who the report is for; where that may be left out, whoever reads all of it. */
function readerOf(named: string | undefined, mayBeMissing: boolean): Reader | undefined {
  const asked = named === 'laboratory' ? 'lab' : (named ?? (mayBeMissing ? 'lab' : ''));
  return READERS.find((known) => known === asked);
}

function aboutOf(v: Values): Options['about'] {
  const about: Partial<Record<keyof About, string>> = {};
  for (const [option, key] of Object.entries(ABOUT_OPTIONS)) {
    const value = v[option as keyof typeof ABOUT_OPTIONS];
    if (value !== undefined) about[key] = value;
  }
  return about;
}

function ruleOf(kind: string, probability: string | undefined): DecisionRule | string {
  if (kind !== 'shared') {
    if (probability !== undefined) return '--probability goes with --rule shared alone';
    return kind === 'simple' || kind === 'guard' ? { kind } : `--rule ${kind}: ${RULE_KINDS.join(', ')} needed`;
  }
  const p = probability === undefined ? RULE_DEFAULTS.probability : Number(probability);
  return p >= 0.5 && p <= 0.9999 ? { kind, probability: p } : `--probability ${probability}: 0.5 to 0.9999 needed`;
}
