/** Writes public/*.schema.json from the formats' own schemas: `npx tsx config/format-schemas.ts`. A test compares. */
import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { toJsonSchema } from '@valibot/to-json-schema';
import type { GenericSchema } from 'valibot';
import { BIN_REFERENCE, BIN_RESULT } from '../src/formats/bin.ts';
import { JOB_FILE } from '../src/formats/job.ts';
import { LOT } from '../src/formats/lot.ts';
import { NOTE } from '../src/formats/notes.ts';
import { KIND, MATRIX, QUANTITY } from '../src/formats/parts.ts';
import { REPORT } from '../src/formats/report.ts';
import { RESULT } from '../src/formats/result.ts';

const SHARED = { kind: KIND, quantity: QUANTITY, matrix: MATRIX, note: NOTE };

function schemaText(schema: GenericSchema, title: string, description: string): string {
  const { $schema, $defs, ...rest } = toJsonSchema(schema, {
    target: 'draft-2020-12',
    typeMode: 'input',
    definitions: SHARED,
    // What crosses fields has no words in JSON Schema, and what reading makes of a value does not concern a writer; JSON has finite numbers alone.
    ignoreActions: ['raw_check', 'check', 'transform', 'finite'],
  });
  return `${JSON.stringify({ $schema, title, description, ...rest, ...($defs ? { $defs } : {}) }, null, 2)}\n`;
}

const LENGTHS = 'Lengths in mm, u standard uncertainties.';

/** File in public/ and the text that it should have. */
export const SCHEMA_FILES: Readonly<Record<string, string>> = {
  'evencast-result-1.schema.json': schemaText(
    RESULT,
    'Evencast result',
    `A measured die. ${LENGTHS} Later versions may add fields.`,
  ),
  'evencast-report-1.schema.json': schemaText(
    REPORT,
    'Evencast report',
    `A measured die with its doubt, its verdict and its digests. ${LENGTHS} digest.data is the SHA-256 of the canonical JSON (RFC 8785) of data.`,
  ),
  'lot.schema.json': schemaText(
    LOT,
    'Evencast lot',
    `Measured dice from one source, judged together. ${LENGTHS} The dice stand in the order in which they were made. Labels are unlike each other; all dice have the same names of axes, faces and corners in the same order.`,
  ),
  'evencast-bin-1.schema.json': schemaText(
    BIN_RESULT,
    'Evencast bin',
    `Dice sorted from photos of several at once. ${LENGTHS}`,
  ),
  'evencast-bin-reference-1.schema.json': schemaText(
    BIN_REFERENCE,
    'Evencast bin reference',
    `What dice of a bin are held against. ${LENGTHS}`,
  ),
  'evencast-job.schema.json': schemaText(
    JOB_FILE,
    'Evencast job',
    `What is measured, and what is known beforehand. ${LENGTHS}`,
  ),
};

if (process.argv[1] === import.meta.filename)
  for (const [name, text] of Object.entries(SCHEMA_FILES))
    writeFileSync(join(import.meta.dirname, '..', 'public', name), text);
