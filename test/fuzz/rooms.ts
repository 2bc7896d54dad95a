/**
 * `npx tsx test/fuzz/rooms.ts [--count 60] [--seed N]`: archives of dice with places changed that the door takes all the same are brought into the
 * page, and every room is visited with each die: nothing uncaught, no room broken, nothing senseless said.
 */
import { parseArgs } from 'node:util';
import fc from 'fast-check';
import type { Page } from 'playwright';
import { demoLot } from '../../src/lots/demo-lot.ts';
import { lotText } from '../../src/lots/read-lot.ts';
import { bareAsked } from '../../src/measure/asked.ts';
import { RECORDS } from '../../src/ui/store/records.ts';
import { readDieFile } from '../../src/ui/store/die-file.ts';
import { zip } from '../../src/ui/store/zip.ts';
import { someDie } from '../support/kept.ts';
import { madeResult } from '../support/made-result.ts';
import { servedPage } from '../support/served-page.ts';
import { mutatedJson } from './mutations.ts';

const { values } = parseArgs({
  options: { count: { type: 'string', default: '60' }, seed: { type: 'string', default: '1' } },
});
const ROOMS = ['photos', 'shape', 'rolls', 'report', 'compare', 'lots', 'bin', 'check', 'card', ''] as const;
const SENSELESS = /Cannot read|undefined|TypeError|is not a function|\[object|\bNaN\b|\bInfinity\b|Invalid (key|type)/;

/** A die with its result, and what rooms keep of other things. */
function good(kind: 'd6' | 'd10' | 'd20'): object {
  const result = madeResult(kind);
  const die = { ...someDie(0, { id: 'diediedie1', kind, shots: [] }), name: 'brought' };
  const shots = result.photos.map(({ photo, up, front }) => ({ photo, up, front }));
  const found = {
    version: RECORDS,
    id: die.id,
    judged: {},
    outcome: { job: { ...bareAsked(kind, []), die: kind, shots }, result },
  };
  const lot = { ...demoLot(), dice: demoLot().dice.slice(0, 6) };
  const rooms = [
    {
      version: RECORDS,
      id: 'roomroom1',
      revision: 1,
      room: 'lots',
      changed: 1,
      data: { lot: lotText(lot), leftOut: [], aql: '1', level: 'II' },
    },
    {
      version: RECORDS,
      id: 'roomroom2',
      revision: 1,
      room: 'bin',
      changed: 1,
      data: {
        kind,
        size: '16',
        radius: '',
        limits: { size: '', radius: '', departure: '' },
        sounds: true,
        photos: [],
        steps: [],
      },
    },
    {
      version: RECORDS,
      id: 'roomroom3',
      revision: 1,
      room: 'check',
      changed: 1,
      data: {
        version: 1,
        die: die.id,
        name: 'a',
        instrument: 'b',
        U95: 0.03,
        at: 1,
        readings: [{ axis: '1-6', reading: 16, length: 16, u: 0.01 }],
      },
    },
    {
      version: RECORDS,
      id: 'roomroom4',
      revision: 1,
      room: 'report',
      changed: 1,
      data: {
        about: { maker: 'a' },
        own: {},
        limits: {},
        name: '',
        source: '',
        rule: 'guard',
        probability: '95',
        paper: 'a4',
        reader: 'buyer',
        language: '',
      },
    },
  ];
  const cards = [
    { version: RECORDS, id: 'cardcard1', revision: 1, name: 'a', bars: { x: '100', y: '100', u: '0.05' }, made: 1 },
  ];
  return { format: 'evencast-dice/1', dice: [{ ...die, card: 'cardcard1' }], found: [found], cards, rooms };
}

const served = await servedPage();
const draws = fc.sample(
  fc
    .constantFrom(good('d6'), good('d10'), good('d20'))
    .map((file) => JSON.parse(JSON.stringify(file)) as unknown)
    .chain(mutatedJson),
  { numRuns: 40 * Number(values.count), seed: Number(values.seed) },
);
let [taken, refused, faults] = [0, 0, 0];

async function visit(page: Page, room: string): Promise<string | null> {
  await page.evaluate((to) => (location.hash = `#/${to}`), room);
  await page.locator('main h2').first().waitFor({ timeout: 20_000 });
  await page.waitForTimeout(150);
  await page.evaluate(() => document.querySelectorAll('main details').forEach((d) => d.setAttribute('open', '')));
  await page.waitForTimeout(250);
  const text = await page.locator('main').innerText();
  if (/met something that it cannot show/.test(text)) return `${room}: the room is broken`;
  const senseless = SENSELESS.exec(text);
  return senseless === null ? null : `${room}: ${text.slice(Math.max(0, senseless.index - 80), senseless.index + 60)}`;
}

for (const [i, json] of draws.entries()) {
  if (taken >= Number(values.count)) break;
  const file = await zip([{ name: 'evencast.json', content: new Blob([JSON.stringify(json)]) }]);
  const brought = await readDieFile(file, [], 1).catch(() => null);
  if (brought === null || !brought.ok || brought.value.dice.length === 0) {
    refused++;
    continue;
  }
  taken++;
  const context = await served.browser.newContext({ locale: 'en-GB', serviceWorkers: 'block' });
  const page = await context.newPage();
  page.setDefaultTimeout(30_000);
  const wrong: string[] = [];
  page.on('pageerror', (error) => wrong.push(`uncaught: ${error.message.slice(0, 300)}`));
  try {
    await page.goto(served.url);
    await page
      .getByLabel('Bring in a file')
      .setInputFiles([{ name: 'die.zip', mimeType: 'application/zip', buffer: Buffer.from(await file.arrayBuffer()) }]);
    await page
      .getByText(/brought in/)
      .first()
      .waitFor();
    const open = page.getByRole('button', { name: /^Open / }).first();
    if ((await open.count()) > 0) await open.click();
    await page.waitForTimeout(300);
    for (const room of ROOMS) {
      const said = await visit(page, room);
      if (said !== null) wrong.push(said);
    }
    await page.reload();
    for (const room of ['photos', 'shape', 'lots', 'bin', 'check']) {
      const said = await visit(page, room);
      if (said !== null) wrong.push(`again ${said}`);
    }
  } catch (error) {
    wrong.push(`stuck: ${String(error).slice(0, 300)}`);
  }
  await context.close();
  if (wrong.length > 0) {
    faults++;
    process.stdout.write(`FAULT input ${i}: ${[...new Set(wrong)].join(' | ').replaceAll('\n', ' ')}\n`);
  }
}
process.stdout.write(
  `${taken} archives that were taken (${refused} refused at the door), ${ROOMS.length} rooms each: ${faults} with a fault\n`,
);
await served.close();
process.exitCode = faults > 0 ? 1 : 0;
