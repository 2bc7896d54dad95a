import type { Language } from '../../../text/language.ts';
import type { Block, Fact } from '../blocks.ts';
import { heading, text } from '../blocks.ts';
import { NUMBERS } from '../numbers.ts';
import { visible } from '../../record/plain-text.ts';
import type { ReportData, ReportRecord } from '../../record/record.ts';
import { keyName } from '../../record/signing.ts';
import { IDENTITY_WORDS } from '../words/identity-words.ts';

const or = (value: string, other: string): string => (value === '' ? other : visible(value));

/** Who, what, when; what was not said is said to be so where it matters. */
export function identityFacts({ number, data }: ReportRecord, all: boolean, language: Language): Fact[] {
  const words = IDENTITY_WORDS[language];
  const { date } = NUMBERS[language];
  const { about, result } = data;
  const used = result.photos.filter((p) => p.status !== 'left-out').length;
  const facts: Fact[] = [
    { label: words.number, value: number },
    { label: words.die, value: `${result.die.kind}${about.die === '' ? '' : `, ${visible(about.die)}`}` },
    { label: words.measuredBy, value: or(about.measuredBy, words.notStated) },
    { label: words.measuredOn, value: or(date(about.measuredOn), words.notStated) },
    { label: words.reportedOn, value: or(date(about.reportedOn), words.notStated) },
    { label: words.photos, value: words.used(used, result.photos.length) },
    { label: words.scale, value: result.card.checked ? words.barsMeasured : words.barsNotMeasured },
  ];
  const doubt = numbersDoubt(data, language);
  if (doubt !== null) facts.push({ label: words.faceNumbers, value: doubt });
  if (about.maker !== '') facts.push({ label: words.maker, value: visible(about.maker) });
  if (all || about.place !== '') facts.push({ label: words.place, value: or(about.place, words.notStated) });
  return facts;
}

/** What keeps the photos' numbers from being certain; null where nothing does. */
function numbersDoubt({ result }: ReportData, language: Language): string | null {
  const words = IDENTITY_WORDS[language];
  const said = (code: string) => result.notes.find((note) => note.code === code);
  const [unknown, doubted] = [said('numbers-unknown'), said('numbers-doubted')];
  if (unknown === undefined && doubted === undefined) return null;
  return [
    ...(unknown === undefined ? [] : [words.known(Number(unknown.seen), Number(unknown.needed))]),
    ...(doubted === undefined ? [] : [words.contradicted(Number(doubted.seen), Number(doubted.needed))]),
  ].join('; ');
}

/** What the card is and how its scale was checked. */
export function cardText({ result, about, job }: ReportData, language: Language): string {
  const words = IDENTITY_WORDS[language];
  const n = NUMBERS[language];
  const { card } = result;
  if (!card.checked) return words.cardAsDesigned(n.fixed(100 * card.scaleX.u, 2));
  const read = [job?.checkBar ?? null, job?.checkBarY ?? null].filter((b) => b !== null);
  const bars =
    job && read.length > 0
      ? words.bars(
          read.map((b) => `${n.short(b)} mm`),
          n.short(job.checkBarU),
        )
      : '';
  const ruler = about.ruler === '' ? words.rulerUnknown : words.ruler(visible(about.ruler));
  const along = ({ value, u }: typeof card.scaleX): string => n.plusMinus(value, u, '');
  return words.cardChecked(ruler, bars, along(card.scaleX), along(card.scaleY));
}

/** What the person said beside it. */
export function remarksBlocks({ about }: ReportData, most: number, language: Language): Block[] {
  const words = IDENTITY_WORDS[language];
  const cut = (t: string): string =>
    t.length > most ? `${visible([...t].slice(0, most).join(''))}\u2026` : visible(t);
  return [
    ...(about.conditions === '' ? [] : [text(words.conditions(cut(about.conditions)))]),
    ...(about.note === '' ? [] : [text(words.note(cut(about.note)))]),
  ];
}

/** What a digest is, and how to check this file. */
export function digestBlocks(record: ReportRecord, all: boolean, language: Language): Block[] {
  const words = IDENTITY_WORDS[language];
  const { digest, data, signature } = record;
  const photos = data.photos.length === 0 ? words.noDigests : words.digests(data.photos.length);
  const blocks: Block[] = [heading(2, words.howToCheck), text(words.carries(photos)), text(words.proves)];
  if (all) blocks.push(text(words.digest(digest.data), true));
  if (signature) blocks.push(text(words.signed(signature.kind, keyName(signature.publicKey)), !all));
  return blocks;
}
