import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import sharp from 'sharp';
import { beforeAll, describe, expect, test } from 'vitest';
import { facesIn } from '../src/cli/read-faces.ts';
import { reportFonts } from '../src/cli/report-fonts.ts';
import { base64 } from '../src/formats/base64.ts';
import { jpegFrame, type FacesPicture } from '../src/formats/faces-picture.ts';
import { readRecord } from '../src/formats/report.ts';
import { htmlReport } from '../src/report/forms/html-report.ts';
import { pdfReport } from '../src/report/forms/pdf-report.ts';
import { latin1, openReport } from '../src/report/check/open-report.ts';
import { recordBytes, reportRecord, type ReportRecord } from '../src/report/record/record.ts';
import { madeResult } from './support/made-result.ts';
import { MADE_INPUT } from './support/report-digest.ts';

const [WIDTH, HEIGHT] = [60, 44];
let jpeg: Uint8Array;
let faces: FacesPicture;
let record: ReportRecord;
beforeAll(async () => {
  const picture = sharp({ create: { width: WIDTH, height: HEIGHT, channels: 3, background: '#205c58' } });
  jpeg = new Uint8Array(await picture.jpeg().toBuffer());
  faces = {
    ...{ jpeg: base64(jpeg), width: WIDTH, height: HEIGHT, umPerPx: 151.6 },
    ...{ faces: [{ face: '1', photo: '<b>one.jpg' }], unseen: ['6'] },
  };
  record = reportRecord({ ...MADE_INPUT, result: madeResult('d6'), faces });
});

test('the size of a JPEG is that of its frame (ITU-T T.81, B.2.2); what is none, grey or cut short has none', async () => {
  expect(jpegFrame(faces.jpeg)).toEqual({ width: WIDTH, height: HEIGHT });
  const progressive = await sharp(jpeg).jpeg({ progressive: true }).toBuffer();
  expect(jpegFrame(base64(progressive))).toEqual({ width: WIDTH, height: HEIGHT });
  const grey = await sharp(jpeg).greyscale().toColourspace('b-w').jpeg().toBuffer();
  expect(jpegFrame(base64(grey))).toBeNull();
  expect(jpegFrame(base64(await sharp(jpeg).png().toBuffer()))).toBeNull();
  for (let cut = 0; cut < jpeg.length; cut += 7) expect(() => jpegFrame(base64(jpeg.subarray(0, cut)))).not.toThrow();
  expect(jpegFrame('/9j')).toBeNull();
});

describe('faces of a die in its report', () => {
  test('are shown with their scale and the faces that no photo shows, and come back with the data', () => {
    const html = htmlReport(record, 'lab');
    const text = new TextDecoder().decode(html);
    expect(text).toContain(
      `<image x="0.00" y="0.00" width="354.55" height="260.00" href="data:image/jpeg;base64,${faces.jpeg}"/>`,
    );
    expect(text).toContain('152 \u00b5m a pixel');
    expect(text).toContain('No photo shows 6.');
    expect(text).toContain('1: &lt;b&gt;one.jpg');
    const opened = openReport(html);
    expect(opened.ok && opened.value.record).toEqual(record);
    expect(new TextDecoder().decode(htmlReport(record, 'buyer'))).not.toContain('data:image/jpeg');
  });

  test('stand in the PDF as the file that they are', async () => {
    const pdf = latin1(await pdfReport(record, 'lab', 'a4', await reportFonts()));
    expect(pdf).toContain(latin1(jpeg));
    expect(pdf).toMatch(new RegExp(`/Width ${WIDTH}[\\s\\S]{0,40}/Height ${HEIGHT}[\\s\\S]{0,40}/DCTDecode`));
    expect(pdf).toContain('/Im1 ');
  });

  test('are refused where the picture is not of the size stated, or no JPEG', () => {
    const with1 = (more: object): unknown => {
      const json = JSON.parse(new TextDecoder().decode(recordBytes(record))) as { data: { faces: object } };
      return { ...json, data: { ...json.data, faces: { ...json.data.faces, ...more } } };
    };
    expect(readRecord(with1({})).ok).toBe(true);
    for (const wrong of [{ width: 61 }, { jpeg: 'AAAA' }, { jpeg: '"><b>' }, { umPerPx: 0 }, { more: 1 }])
      expect(readRecord(with1(wrong)).ok, JSON.stringify(wrong)).toBe(false);
  });
});

test('a die of which no face was known is told as that, not as a folder of another kind', async () => {
  const folder = mkdtempSync(join(tmpdir(), 'evencast-faces-'));
  try {
    const about = { format: 'evencast-faces/1', faces: [], unseen: ['1', '2'], net: 'net.png', netUmPerPx: null };
    writeFileSync(join(folder, 'faces.json'), JSON.stringify(about));
    writeFileSync(join(folder, 'net.png'), await sharp(jpeg).png().toBuffer());
    const found = await facesIn(folder);
    expect(found.ok ? '' : found.error).toMatch(/no face of the die was known.*leave --faces out/);
    writeFileSync(join(folder, 'faces.json'), JSON.stringify({ ...about, netUmPerPx: 120 }));
    const shown = await facesIn(folder);
    expect(shown.ok && shown.value).toMatchObject({ umPerPx: 120, width: WIDTH, height: HEIGHT, unseen: ['1', '2'] });
  } finally {
    rmSync(folder, { recursive: true });
  }
});
