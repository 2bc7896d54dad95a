import { EXIT, type Command } from './command.ts';
import { print, printJson, say } from './streams.ts';

interface Entry {
  readonly about: string;
  readonly load: () => Promise<{ readonly run: Command }>;
}

/** Each command lives in a file of its own that is loaded when it is asked for. */
const COMMANDS: Readonly<Record<string, Entry>> = {
  rolls: { about: 'predicts the rolls of a measured die', load: () => import('./rolls.ts') },
  log: { about: 'tests a log of rolls', load: () => import('./log.ts') },
  pairs: { about: 'pools measured dice that were thrown: does the model hold?', load: () => import('./pairs.ts') },
  'train-reader': { about: 'trains the reader of faces anew', load: () => import('./train-reader.ts') },
  kernels: { about: 'fits the kernels that predict rolls at once, from throws', load: () => import('./kernels.ts') },
  measure: { about: 'measures a die from a folder of photos', load: () => import('./measure.ts') },
  bin: { about: 'sorts dice from photos of several at once', load: () => import('./bin.ts') },
  shots: { about: 'tells which photos of a die to take, and the doubt to expect', load: () => import('./shots.ts') },
  lot: {
    about: 'judges measured dice together: mould, finishing, outliers, capability, sampling',
    load: () => import('./lot.ts'),
  },
  report: { about: 'writes a report of a measured die, or checks one', load: () => import('./report.ts') },
  card: { about: 'writes the scale card as a PDF to print', load: () => import('./card.ts') },
};

function usage(): string {
  const width = Math.max(0, ...Object.keys(COMMANDS).map((name) => name.length));
  const lines = Object.entries(COMMANDS).map(([name, { about }]) => `  ${name.padEnd(width)}  ${about}`);
  return ['usage: npm run -s evencast -- COMMAND [ARGUMENTS]', ...lines, 'COMMAND --help says more.', ''].join('\n');
}

/** Runs the command that the first argument names with the rest; returns the exit code. What a command throws is said in one line. */
export async function runCommand(args: readonly string[]): Promise<number> {
  const [name, ...rest] = args;
  if (name === '--help' || name === '-h') {
    print(usage());
    return EXIT.done;
  }
  const command = name !== undefined && Object.hasOwn(COMMANDS, name) ? COMMANDS[name] : undefined;
  if (command === undefined) {
    say(name === undefined ? usage() : `evencast: no command "${name}"\n${usage()}`);
    return EXIT.usage;
  }
  try {
    return await (await command.load()).run(rest);
  } catch (thrown) {
    return broken(name!, rest, thrown);
  }
}

/** A fault of the program itself: said in one line, as JSON where JSON was asked for. What was read stays as it was. */
function broken(name: string, args: readonly string[], thrown: unknown): number {
  const what = (thrown instanceof Error ? thrown.message : String(thrown)).slice(0, 200);
  const message = `${name} met a fault of its own (${what}). Nothing was changed; keep the input, it shows the fault.`;
  if (args.includes('--json')) printJson(`${JSON.stringify({ error: { code: 'internal', message } })}\n`);
  say(`evencast: ${message}\n`);
  return EXIT.failed;
}
