import * as v from 'valibot';
import { RULE_DEFAULTS, RULE_KINDS, type DecisionRule, type Limits } from '../../judging/decision.ts';
import { TYPED } from '../../report/record/plain-text.ts';
import type { About } from '../../report/record/record.ts';
import { VERDICT_WORDS } from '../../report/content/words/verdict-words.ts';
import {
  CLASSES,
  LIMIT_KEYS,
  NO_LIMITS,
  toleranceFault,
  type ClassName,
  type LimitKey,
  type Tolerance,
} from '../../judging/tolerance.ts';
import { newId } from '../store/records.ts';
import type { RoomShelf } from '../store/kept-rooms.ts';
import { typedNumber, typedText } from '../kit/format.ts';
import { language } from '../kit/language.svelte.ts';

const LINE = v.pipe(v.string(), v.maxLength(400));
const TEXTS = v.record(v.pipe(v.string(), v.maxLength(40)), v.pipe(v.string(), v.maxLength(2000)));

/** What the room keeps: what was typed for all reports, and under `own` what was typed of one die, by its id. */
export const KEPT_REPORT = v.object({
  about: TEXTS,
  own: v.record(v.pipe(v.string(), v.maxLength(80)), TEXTS),
  limits: TEXTS,
  name: LINE,
  source: LINE,
  rule: LINE,
  probability: LINE,
  paper: LINE,
  reader: LINE,
  language: v.optional(LINE, ''),
});
export type KeptReport = v.InferOutput<typeof KEPT_REPORT>;

/** Fields of limits, in the order of the form; chances in per cent of an even die's, the rest mm. */
export const LIMIT_FIELDS = LIMIT_KEYS.flatMap((key) => [`${key}.low`, `${key}.high`] as const);
export type LimitField = (typeof LIMIT_FIELDS)[number];

/** Why what was typed is taken for no limit: no number, low above high, or no probability. */
export type EntryFault = 'number' | 'order' | 'probability';

const EMPTY_LIMITS = Object.fromEntries(LIMIT_FIELDS.map((f) => [f, ''])) as Record<LimitField, string>;
const EMPTY_ABOUT: Omit<About, 'reportedOn'> = {
  die: '',
  maker: '',
  measuredBy: '',
  measuredOn: '',
  place: '',
  conditions: '',
  ruler: '',
  note: '',
};
export type AboutField = keyof typeof EMPTY_ABOUT;

/** What belongs to one die; the rest is the same for all. */
const OWN = ['die', 'measuredOn', 'note'] as const satisfies readonly AboutField[];
/** Dice whose own words are kept. */
const MOST_DICE = 200;

/** Limits that were filled in as they are called on the page: a record calls them by the name that reports know in each language. */
function ownNames(name: string, source: string): Pick<Tolerance, 'name' | 'source'> {
  const said = Object.values(VERDICT_WORDS);
  const known = (Object.keys(CLASSES) as ClassName[]).find((c) => said.some(({ classes }) => classes[c] === name));
  return {
    name: known ? CLASSES[known].name : name,
    source: said.some(({ common }) => common === source) ? CLASSES.moulded.source : source,
  };
}

const unit = (key: LimitKey): number => (key === 'chances' ? 100 : 1);

/** What the person types about a report: whose, by which limits and rule. */
export class ReportEntries {
  about = $state<Record<AboutField, string>>({ ...EMPTY_ABOUT });
  limits = $state<Record<LimitField, string>>({ ...EMPTY_LIMITS });
  name = $state('');
  source = $state('');
  rule = $state<string>(RULE_DEFAULTS.rule.kind);
  probability = $state(String(100 * RULE_DEFAULTS.probability));
  #shelf: RoomShelf<KeptReport> | null = null;
  #id = newId();
  #of = '';
  readonly #own = new Map<string, Record<string, string>>();

  /** The limits typed; null where one of them is none. */
  readonly tolerance: Tolerance | null = $derived.by(() => {
    const out = { ...NO_LIMITS, ...ownNames(this.name.trim(), this.source.trim()) } as Record<LimitKey, Limits | null>;
    for (const key of LIMIT_KEYS) {
      const [low, high] = [typedNumber(this.limits[`${key}.low`]), typedNumber(this.limits[`${key}.high`])];
      if (low === null && high === null) continue;
      const scaled = (x: number | null): number | null => (x === null ? null : x / unit(key));
      out[key] = { low: scaled(low), high: scaled(high) };
    }
    const tolerance = out as Tolerance;
    return toleranceFault(tolerance) === null ? tolerance : null;
  });

  readonly decisionRule: DecisionRule | null = $derived.by(() => {
    if (this.rule !== 'shared') return { kind: this.rule === 'simple' ? 'simple' : 'guard' };
    const p = (typedNumber(this.probability) ?? NaN) / 100;
    return p >= 0.5 && p <= 0.9999 ? { kind: 'shared', probability: p } : null;
  });

  /** What is wrong with a field; null where nothing is. */
  fault(field: LimitField): EntryFault | null {
    const value = typedNumber(this.limits[field]);
    if (value === null) return null;
    if (!(value >= 0 && value <= 1000)) return 'number';
    const [key] = field.split('.') as [LimitKey];
    const [low, high] = [typedNumber(this.limits[`${key}.low`]), typedNumber(this.limits[`${key}.high`])];
    return field.endsWith('.high') && low !== null && high !== null && !(low < high) ? 'order' : null;
  }

  /** Fills in a class; the person may change it then. */
  fillIn(name: ClassName): void {
    const chosen: Tolerance = CLASSES[name];
    this.name = VERDICT_WORDS[language.current].classes[name];
    this.source = VERDICT_WORDS[language.current].common;
    this.limits = { ...EMPTY_LIMITS };
    for (const key of LIMIT_KEYS)
      for (const side of ['low', 'high'] as const) {
        const value = chosen[key]?.[side] ?? null;
        if (value !== null) this.limits[`${key}.${side}`] = typedText(Number((value * unit(key)).toPrecision(6)));
      }
    this.keep();
  }

  clearLimits(): void {
    this.limits = { ...EMPTY_LIMITS };
    this.name = this.source = '';
    this.keep();
  }

  /** From now on the words of one die are those of this one. */
  belongTo(die: string): void {
    if (this.#of === die) return;
    this.#remember();
    this.#of = die;
    const own = this.#own.get(die);
    for (const key of OWN) this.about[key] = own?.[key] ?? '';
  }

  #remember(): void {
    const own = Object.fromEntries(OWN.map((key) => [key, this.about[key].slice(0, TYPED.note)]));
    this.#own.delete(this.#of);
    if (this.#of !== '' && Object.values(own).some((t) => t !== '')) this.#own.set(this.#of, own);
  }

  /** Brings back what was typed at the last visit; keeps from now on. */
  async keepOn(shelf: RoomShelf<KeptReport>): Promise<void> {
    if (this.#shelf !== null) return;
    this.#shelf = shelf;
    const [last] = await shelf.all();
    if (last === undefined) return;
    this.#id = last.id;
    const { about, limits, name, source, rule, probability } = last.data;
    for (const [die, own] of Object.entries(last.data.own)) if (!this.#own.has(die)) this.#own.set(die, own);
    const texts: Record<string, string> = { ...about, ...this.#own.get(this.#of) };
    for (const key of Object.keys(EMPTY_ABOUT) as AboutField[]) this.about[key] ||= texts[key] ?? '';
    for (const field of LIMIT_FIELDS) this.limits[field] ||= limits[field] ?? '';
    this.name ||= name;
    this.source ||= source;
    if ((RULE_KINDS as readonly string[]).includes(rule)) this.rule = rule;
    this.probability = probability;
    this.reader = last.data.reader;
    this.paper = last.data.paper;
    this.language = last.data.language;
  }

  reader = $state('buyer');
  paper = $state('a4');
  /** Of the report; empty: the page's. */
  language = $state('');

  /** Writes what stands here. */
  keep(): void {
    const cut = (texts: Record<string, string>): Record<string, string> =>
      Object.fromEntries(Object.entries(texts).map(([k, t]) => [k, t.slice(0, TYPED.note)]));
    this.#remember();
    const about = cut({ ...$state.snapshot(this.about), die: '', measuredOn: '', note: '' });
    const own = Object.fromEntries([...this.#own].slice(-MOST_DICE));
    const { name, source, rule, probability, paper, reader, language } = this;
    this.#shelf?.keep(this.#id, {
      about,
      own,
      limits: cut($state.snapshot(this.limits)),
      name: name.slice(0, 400),
      source: source.slice(0, 400),
      rule,
      probability,
      paper,
      reader,
      language,
    });
  }
}
