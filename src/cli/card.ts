import { basename } from 'node:path';
import { parseArgs } from 'node:util';
import { CARD_DEFAULTS, cardPdf, PAPERS, type Paper } from '../report/forms/card-pdf.ts';
import { STAGE_ADVICE, STAGES, type Stage } from '../report/forms/stages.ts';
import { bankCardFile } from '../bank-card/file.ts';
import { bankMessage } from '../bank-card/messages.ts';
import { EXIT } from './command.ts';
import { fileBytes } from './files.ts';
import { print, put, say } from './streams.ts';
import { decodePicture } from './decode.ts';

function usage(): string {
  const advice = STAGE_ADVICE.map(
    ({ die, stages, why }) => `  ${die.padEnd(22)}${stages.join(' or ').padEnd(16)}${why}`,
  );
  return [
    'usage: npm run -s evencast -- card [--paper PAPER] [--stage COLOUR] [--out FILE] > card.pdf',
    `  --paper  ${Object.keys(PAPERS).join(', ')}; ${CARD_DEFAULTS.paper} where left out`,
    `  --stage  ${STAGES.join(', ')}; ${CARD_DEFAULTS.stage} where left out`,
    '  --bank-card PHOTO  writes no card: tells the length of both bars from a photo of the printed card, taken from straight',
    "             above, with a bank card (ISO/IEC 7810, ID-1) on its stage, the long side along the ring's. Turn the bank",
    '             card over or cover its number first; the photo is read and not kept. Exit code 3: nothing could be told.',
    'Print at 100 %, measure both bars. The stage should have the colour that the die has not:',
    ...advice,
    '',
  ].join('\n');
}

/** Writes the card's PDF to stdout or a file. */
export async function run(args: readonly string[]): Promise<number> {
  const read = options(args);
  if (typeof read === 'string') {
    say(`evencast card: ${read}\n${usage()}`);
    return EXIT.usage;
  }
  if (read.help) {
    print(usage());
    return EXIT.done;
  }
  if (read.bankCard !== undefined) return tellBars(read.bankCard);
  const bytes = await cardPdf(read.paper, read.stage);
  const written = await put(bytes, read.out ?? null);
  if (!written.ok) say(`evencast card: ${written.error}\n`);
  return written.ok ? EXIT.done : EXIT.failed;
}

/** Measures the bars from a photo of a bank card; a job's words for them to stdout. */
async function tellBars(path: string): Promise<number> {
  const bytes = await fileBytes(path);
  if (!bytes.ok) {
    say(`evencast card: ${bytes.error}\n`);
    return EXIT.notMeasurable;
  }
  const found = await bankCardFile(basename(path), bytes.value, decodePicture);
  if (!found.ok) {
    const { text, advice } = bankMessage(found.error);
    say(`evencast card: ${text} ${advice}\n`);
    return EXIT.notMeasurable;
  }
  const { x, y, u, doubt, lean } = found.value;
  const sources = doubt.sources.map((s) => `${s.source} ${s.x.toFixed(3)} and ${s.y.toFixed(3)}`).join(', ');
  say(`Camera ${lean.toFixed(1)} degrees from straight above. Doubt of x and y by source, mm: ${sources}.\n`);
  print(`"checkBar": ${x.toFixed(2)}, "checkBarY": ${y.toFixed(2)}, "checkBarU": ${u.toFixed(2)}\n`);
  return EXIT.done;
}

interface Options {
  readonly bankCard: string | undefined;
  readonly paper: Paper;
  readonly stage: Stage;
  readonly out: string | undefined;
  readonly help: boolean;
}

/** What was asked for, or what is wrong with it. */
function options(args: readonly string[]): Options | string {
  try {
    const { values } = parseArgs({
      args: [...args],
      options: {
        paper: { type: 'string', default: CARD_DEFAULTS.paper },
        stage: { type: 'string', default: CARD_DEFAULTS.stage },
        out: { type: 'string' },
        'bank-card': { type: 'string' },
        help: { type: 'boolean', short: 'h', default: false },
      },
    });
    const { paper, stage, out, help, 'bank-card': bankCard } = values;
    if (!Object.hasOwn(PAPERS, paper)) return `--paper ${paper}: ${Object.keys(PAPERS).join(' or ')} needed`;
    if (!STAGES.includes(stage as Stage)) return `--stage ${stage}: ${STAGES.join(', ')} needed`;
    if (!help && bankCard === undefined && out === undefined && process.stdout.isTTY)
      return 'a PDF is not for the terminal: say --out FILE or > FILE';
    return { paper: paper as Paper, stage: stage as Stage, out, bankCard, help };
  } catch (error) {
    return (error as Error).message;
  }
}
