import type { Block, Fact } from '../blocks.ts';
import { heading, text } from '../blocks.ts';
import { plusMinus } from '../numbers.ts';
import { visible } from '../../record/plain-text.ts';
import type { ReportData, ReportRecord } from '../../record/record.ts';
import { keyName } from '../../record/signing.ts';

const or = (value: string, other: string): string => (value === '' ? other : visible(value));

/** Who, what, when; what was not said is said to be so where it matters. */
export function identityFacts({ number, data }: ReportRecord, all: boolean): Fact[] {
  const { about, result } = data;
  const used = result.photos.filter((p) => p.status !== 'left-out').length;
  const facts: Fact[] = [
    { label: 'Report', value: number },
    { label: 'Die', value: `${result.die.kind}${about.die === '' ? '' : `, ${visible(about.die)}`}` },
    { label: 'Measured by', value: or(about.measuredBy, 'not stated') },
    { label: 'Measured on', value: or(about.measuredOn, 'not stated') },
    { label: 'Reported on', value: or(about.reportedOn, 'not stated') },
    { label: 'Photos', value: `${used} used of ${result.photos.length}` },
    { label: 'Scale', value: scaleWord(data) },
  ];
  const doubt = numbersDoubt(data);
  if (doubt !== null) facts.push({ label: 'Numbers of the faces', value: doubt });
  if (about.maker !== '') facts.push({ label: 'Made or sold by', value: visible(about.maker) });
  if (all || about.place !== '') facts.push({ label: 'Place', value: or(about.place, 'not stated') });
  return facts;
}

/** What keeps the photos' numbers from being certain; null where nothing does. */
function numbersDoubt({ result }: ReportData): string | null {
  const said = (code: string) => result.notes.find((note) => note.code === code);
  const [unknown, doubted] = [said('numbers-unknown'), said('numbers-doubted')];
  if (unknown === undefined && doubted === undefined) return null;
  return [
    ...(unknown === undefined ? [] : [`known in ${Number(unknown.seen)} of ${Number(unknown.needed)} photos; the others were left out`]),
    ...(doubted === undefined ? [] : [`contradicted by the faces in ${Number(doubted.seen)} of ${Number(doubted.needed)} photos: lengths may stand under wrong names`]),
  ].join('; '); // prettier-ignore
}

const scaleWord = ({ result }: ReportData): string =>
  result.card.checked ? 'check bars measured' : 'card not checked';

/** What the card is and how its scale was checked. */
export function cardText({ result, about, job }: ReportData): string {
  const { card } = result;
  if (!card.checked)
    return `The scale is that of the printed Evencast card as designed. Nobody measured its check bars: printers miss by some tenths of a per cent, a print "fit to page" by 2 to 4 %, and all lengths share a standard uncertainty of ${(100 * card.scaleX.u).toFixed(2)} %. Differences between axes share it in proportion; ratios do not suffer, since the photos tell how far the print is stretched one way.`;
  const bars = job && (job.checkBar !== null || job.checkBarY !== null)
    ? ` The bars, nominally 100 mm, were read as ${[job.checkBar, job.checkBarY].filter((b) => b !== null).map((b) => `${b} mm`).join(' and ')}, with a standard uncertainty of ${job.checkBarU} mm.`
    : ''; // prettier-ignore
  const ruler = about.ruler === '' ? 'with an instrument that was not stated' : `with: ${visible(about.ruler)}`;
  return `The scale is that of the printed Evencast card, whose check bars were measured ${ruler}.${bars} Printed over designed length: ${plusMinus(card.scaleX.value, card.scaleX.u, '')} along x, ${plusMinus(card.scaleY.value, card.scaleY.u, '')} along y. The instrument's own calibration is as its owner knows it.`;
}

/** What the person said beside it. */
export function remarksBlocks({ about }: ReportData, most: number): Block[] {
  const cut = (t: string): string =>
    t.length > most ? `${visible([...t].slice(0, most).join(''))}\u2026` : visible(t);
  return [
    ...(about.conditions === '' ? [] : [text(`Conditions, as stated: ${cut(about.conditions)}`)]),
    ...(about.note === '' ? [] : [text(`Note of who measured: ${cut(about.note)}`)]),
  ];
}

/** What a digest is, and how to check this file. */
export function digestBlocks(record: ReportRecord, all: boolean): Block[] {
  const { digest, data, signature } = record;
  const photos =
    data.photos.length === 0
      ? 'The photos were not at hand when it was written: it holds no digests of them, and they cannot be checked.'
      : `It holds the SHA-256 digests of ${data.photos.length} photos; whoever has the photos can measure again.`;
  const blocks: Block[] = [
    heading(2, 'How to check this report'),
    text(
      `This file carries all its data. Opened on the Evencast page (Report), or with "evencast report --check FILE", it shows the same numbers and says whether anything was changed. ${photos}`,
    ),
    text(
      'A digest proves sameness, not truth and not authorship: it tells that data or photos are the very same, not that they show what is claimed, nor who made them.',
    ),
  ];
  if (all) blocks.push(text(`SHA-256 of the data (canonical JSON, RFC 8785): ${digest.data}`, true));
  if (signature)
    blocks.push(
      text(
        `Signed with ${signature.kind}; name of the key: ${keyName(signature.publicKey)}. A signature says that the holder of that key signed these data; whose key it is, you must know from elsewhere.`,
        !all,
      ),
    );
  return blocks;
}
