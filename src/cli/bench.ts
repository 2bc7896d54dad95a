import { EXIT } from './command.ts';
import { setV8Flags } from './v8-flags.ts';

const HELP = `usage: npm run bench -- FOLDER... [--runs N]  times measuring the photos of each folder on one core and on all, per stage and photo
       npm run bench -- bin FOLDER...  times sorting the photos of each folder, per stage and photo; memory over 60 photos
       npm run bench -- altered FOLDER...  measures rendered sets as life alters them, against their truth
       npm run bench -- bin-altered FOLDER...  sorts rendered bins as life alters them, against their truth
       npm run bench -- rolls [--json]  times the throws
       npm run bench -- faces FOLDER --out DIR  writes each face straightened, as PNG
       npm run bench -- reader [--photos N] [--json]  reads drawn dice in founts that the reader was not trained on
       npm run bench -- mutants [--each=12] [--seed=1] [--only=FILE] [--named]  puts small faults into the source: do tests notice?
       npm run bench -- kills [--count 200] [--seed 1]  types in any field of any room, kills the tab, looks whether it is there
       npm run bench -- live [FOLDER]   plays a moving camera to the page: frames judged a second, how soon a photo takes itself
       npm run bench -- looks FOLDER    times looks at photos as a live camera's frames
       npm run bench -- photos FOLDER [--runs N] [--root CHECKOUT]  times a set in the page (of this checkout or another) from its photos to the answer; its memory
       npm run bench -- page [--json]   times the page in Chromium: first paint, the sample, long tasks
`;

/** Starts the bench that the first argument names. */
async function main(args: readonly string[]): Promise<number> {
  if (args.length === 0 || args.includes('--help')) {
    process.stdout.write(HELP);
    return args.length === 0 ? EXIT.usage : EXIT.done;
  }
  if (args[0] === 'rolls') return (await import('./bench-rolls.ts')).run(args.slice(1));
  if (args[0] === 'altered') return (await import('./bench-altered.ts')).run(args.slice(1));
  if (args[0] === 'bin-altered') return (await import('./bench-bin-altered.ts')).run(args.slice(1));
  if (args[0] === 'reader') return (await import('./bench-reader.ts')).run(args.slice(1));
  if (args[0] === 'bin') return (await import('./bench-bin.ts')).run(args.slice(1));
  if (args[0] === 'faces') return (await import('./bench-faces.ts')).run(args.slice(1));
  if (args[0] === 'kills') return (await import('../../config/bench-kills.ts')).run(args.slice(1));
  if (args[0] === 'live') return (await import('../../config/bench-live.ts')).run(args.slice(1));
  if (args[0] === 'looks') return (await import('./bench-looks.ts')).run(args.slice(1));
  if (args[0] === 'photos') return (await import('../../config/bench-photos.ts')).run(args.slice(1));
  if (args[0] === 'page') return (await import('../../config/bench-page.ts')).run(args.slice(1));
  if (args[0] === 'mutants') return (await import('../../config/bench-mutants.ts')).run(args.slice(1));
  return (await import('./bench-measure.ts')).run(args);
}

setV8Flags();
process.exitCode = await main(process.argv.slice(2));
