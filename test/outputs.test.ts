import { describe, expect, test } from 'vitest';
import { binCsv } from '../src/bin/csv.ts';
import type { BinPhoto } from '../src/bin/types.ts';
import { csvReport } from '../src/report/forms/csv-report.ts';
import { htmlReport } from '../src/report/forms/html-report.ts';
import { lotCsv, lotHtml, lotNumber } from '../src/report/lot/lot-files.ts';
import { reportRecord } from '../src/report/record/record.ts';
import { CLASSES } from '../src/judging/tolerance.ts';
import { analyseLot } from '../src/lots/analysis.ts';
import { demoLot } from '../src/lots/demo-lot.ts';
import { HOSTILE } from './support/hostile-texts.ts';
import { madeResult } from './support/made-result.ts';
import { bareInput } from './support/bare-input.ts';

/** Escapes, controls and overrides of direction in names of files, dice and lots reach no output as they are. */

// eslint-disable-next-line no-control-regex
const UNSEEN = /[\u0000-\u0008\u000b\u000c\u000e-\u001f\u007f-\u009f\u202a-\u202e\u2066-\u2069]/;
const text = (bytes: Uint8Array): string => new TextDecoder().decode(bytes);
/** Without what is attached: data as they are, in base64. */
const shownOf = (html: string): string => html.replace(/data:[^"]*/g, '');

const photo = (name: string): BinPhoto => ({
  photo: name,
  status: 'left-out',
  code: 'no-die',
  remark: name,
  notes: [],
  width: 0,
  height: 0,
  dice: [],
});

describe.each(HOSTILE.map((given) => [given.slice(0, 30), given] as const))('%j', (_start, given) => {
  test('in tables of a bin and of a report, in reports and lots', () => {
    const line = given.slice(0, 200);
    const result = { ...madeResult('d6', [line, '02.jpg']), notes: [{ code: 'no-file' as const, seen: line }] };
    const about = { die: line, maker: line, note: line };
    const record = reportRecord({ ...bareInput(result), about, tolerance: CLASSES.moulded });
    const [first, ...dice] = demoLot().dice.slice(0, 4);
    const lot = {
      ...demoLot(),
      name: line,
      note: line,
      dice: [{ ...first!, label: line, card: line.slice(0, 80) }, ...dice],
    };
    const input = {
      whole: lot,
      lot,
      analysis: analyseLot(lot),
      sampling: null,
      reportedOn: '2026-01-03',
      number: lotNumber(lot),
    };
    const outputs = {
      'bin table': binCsv([photo(line)]),
      'report table': text(csvReport(record)),
      'report for a laboratory': shownOf(text(htmlReport(record, 'lab'))),
      'report for a buyer': shownOf(text(htmlReport(record, 'buyer'))),
      'lot table': text(lotCsv(lot, analyseLot(lot))),
      'lot report': shownOf(text(lotHtml(input))),
    };
    for (const [name, output] of Object.entries(outputs)) {
      expect(UNSEEN.exec(output)?.[0], name).toBeUndefined();
      if (name.endsWith('table'))
        for (const cell of output.split(/[\r\n]+/)) expect(cell, name).not.toMatch(/^\s*[=+@]/);
    }
  });
});
