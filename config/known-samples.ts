/** Writes what the sample of the page's self-test comes to, after a change of measuring: `npx tsx config/known-samples.ts`. */
import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { measureFolder } from '../src/cli/measure.ts';
import { knownOf } from '../src/ui/store/known-sample.ts';

const folder = join(import.meta.dirname, '../samples/d6');
const outcome = await measureFolder(folder, () => undefined);
if (!outcome.ok) throw new Error(outcome.error.code);
writeFileSync(join(folder, 'known.json'), `${JSON.stringify(knownOf(outcome.value), null, 1)}\n`);
