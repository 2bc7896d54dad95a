import { writeFile } from 'node:fs/promises';
import { parseArgs } from 'node:util';
import { CARD_DEFAULTS, cardPdf, PAPERS, type Paper } from '../report/card-pdf.ts';
import { STAGE_ADVICE, STAGES, type Stage } from '../report/stages.ts';
import { EXIT } from './command.ts';

function usage(): string {
  const advice = STAGE_ADVICE.map(
    ({ die, stages, why }) => `  ${die.padEnd(22)}${stages.join(' or ').padEnd(16)}${why}`,
  );
  return [
    'usage: npm run -s evencast -- card [--paper PAPER] [--stage COLOUR] [--out FILE] > card.pdf',
    `  --paper  ${Object.keys(PAPERS).join(', ')}; ${CARD_DEFAULTS.paper} where left out`,
    `  --stage  ${STAGES.join(', ')}; ${CARD_DEFAULTS.stage} where left out`,
    'Print at 100 %, measure both bars. The stage should have the colour that the die has not:',
    ...advice,
    '',
  ].join('\n');
}

/** Writes the card's PDF to stdout or a file. */
export async function run(args: readonly string[]): Promise<number> {
  const read = options(args);
  if (typeof read === 'string') {
    process.stderr.write(`evencast card: ${read}\n${usage()}`);
    return EXIT.usage;
  }
  if (read.help) {
    process.stdout.write(usage());
    return EXIT.done;
  }
  const bytes = await cardPdf(read.paper, read.stage);
  if (read.out !== undefined) await writeFile(read.out, bytes);
  else await new Promise((resolve) => process.stdout.write(bytes, resolve));
  return EXIT.done;
}

interface Options {
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
        help: { type: 'boolean', short: 'h', default: false },
      },
    });
    const { paper, stage, out, help } = values;
    if (!Object.hasOwn(PAPERS, paper)) return `--paper ${paper}: ${Object.keys(PAPERS).join(' or ')} needed`;
    if (!STAGES.includes(stage as Stage)) return `--stage ${stage}: ${STAGES.join(', ')} needed`;
    if (!help && out === undefined && process.stdout.isTTY)
      return 'a PDF is not for the terminal: say --out FILE or > FILE';
    return { paper: paper as Paper, stage: stage as Stage, out, help };
  } catch (error) {
    return (error as Error).message;
  }
}
