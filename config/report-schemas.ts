/** Writes public/*.schema.json: `npx tsx config/report-schemas.ts`. Run it after a change of the formats; a test compares. */
import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { REPORT_SCHEMA, RESULT_SCHEMA } from '../src/report/record/schema.ts';

/** File in public/ and the text that it should have. */
export const SCHEMA_FILES: Readonly<Record<string, string>> = {
  'evencast-report-1.schema.json': `${JSON.stringify(REPORT_SCHEMA, null, 2)}\n`,
  'evencast-result-1.schema.json': `${JSON.stringify(RESULT_SCHEMA, null, 2)}\n`,
};

if (process.argv[1] === import.meta.filename)
  for (const [name, text] of Object.entries(SCHEMA_FILES))
    writeFileSync(join(import.meta.dirname, '..', 'public', name), text);
