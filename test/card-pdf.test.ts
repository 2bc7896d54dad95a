import { spawnSync } from 'node:child_process';
import { createHash } from 'node:crypto';
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import layout from '../src/geometry/card.json' with { type: 'json' };
import { cardPdf, PAPERS, PRINT_INSTRUCTIONS, PRINT_MARGIN, type Paper } from '../src/report/forms/card-pdf.ts';
import { STAGE_ADVICE, STAGE_COLOURS, STAGES } from '../src/report/forms/stages.ts';
import { findMarkers } from '../src/vision/markers.ts';
import { CARD_DIGEST } from './support/card-digest.ts';
import { evencast, START, type Ran } from './support/commands.ts';
import { pdfContent, type Painted, type PdfContent } from './support/pdf-content.ts';

const papers = Object.keys(PAPERS) as Paper[];
const content = async (paper: Paper, stage: (typeof STAGES)[number] = 'white'): Promise<PdfContent> =>
  pdfContent(await cardPdf(paper, stage));

const BLACK = '0,0,0';
const WHITE = '1,1,1';

/** Colour at a place of the page, mm: that of the last rectangle painted over it. */
const colourAt = (painted: readonly Painted[], x: number, y: number): string =>
  (painted.findLast((r) => x > r.x && x < r.x + r.width && y > r.y && y < r.y + r.height)?.colour ?? [1, 1, 1]).join(
    ',',
  );

/** Top left of the ring: that of its first black square. */
function ringOrigin({ painted }: PdfContent): { x: number; y: number } {
  const squares = painted.filter(
    ({ width, height }) => Math.abs(width - layout.square) < 1e-4 && Math.abs(height - layout.square) < 1e-4,
  );
  return { x: Math.min(...squares.map(({ x }) => x)), y: Math.min(...squares.map(({ y }) => y)) };
}

const bars = ({ painted }: PdfContent): readonly [Painted, Painted] => {
  const long = painted.filter(({ width, height }) => Math.min(width, height) < 0.5 && Math.max(width, height) > 90);
  expect(long).toHaveLength(2);
  return [long.find(({ width }) => width > 50)!, long.find(({ height }) => height > 50)!];
};

describe.each(papers)('the card on %s', (paper) => {
  test('has the exact size of the paper', async () => {
    // ISO 216:2007: A4 is 210 mm x 297 mm. ANSI/ASME Y14.1: size A is 8.5 inch x 11 inch, the letter of North America.
    const [width, height] = paper === 'a4' ? [(210 * 72) / 25.4, (297 * 72) / 25.4] : [8.5 * 72, 11 * 72];
    const page = await content(paper);
    expect(page.width).toBeCloseTo(width, 5);
    expect(page.height).toBeCloseTo(height, 5);
  });

  test('asks viewers not to scale, and carries no date', async () => {
    const { raw } = await content(paper);
    // ISO 32000-1:2008, table 150.
    expect(raw).toContain('/PrintScaling /None');
    expect(raw).not.toMatch(/\(D:|Date/);
  });

  test('shows every square and every bit as card.json has them', async () => {
    const page = await content(paper);
    const at = ringOrigin(page);
    const { square: q, columns, rows, marker, window: stage } = layout;
    for (let row = 0; row < rows; row++)
      for (let column = 0; column < columns; column++) {
        const [x, y] = [column * q, row * q];
        const onStage = x >= stage.x && x < stage.x + stage.width && y >= stage.y && y < stage.y + stage.height;
        const black = !onStage && (column + row) % 2 === 0;
        // Just inside each of the square's corners, where no marker reaches.
        for (const [u, v] of [
          [0.01, 0.01],
          [q - 0.01, 0.01],
          [0.01, q - 0.01],
          [q - 0.01, q - 0.01],
        ] as const)
          expect(colourAt(page.painted, at.x + x + u, at.y + y + v)).toBe(black ? BLACK : WHITE);
      }
    const module = marker / 6;
    for (const { col, row, bits } of layout.markers) {
      const [x, y] = [at.x + col * q + (q - marker) / 2, at.y + row * q + (q - marker) / 2];
      for (let r = 0; r < 6; r++)
        for (let c = 0; c < 6; c++) {
          const white = r > 0 && r < 5 && c > 0 && c < 5 && bits[4 * (r - 1) + c - 1] === '1';
          for (const share of [0.02, 0.5, 0.98])
            expect(colourAt(page.painted, x + (c + share) * module, y + (r + share) * module)).toBe(
              white ? WHITE : BLACK,
            );
        }
      for (const beside of [-0.01, marker + 0.01])
        expect(colourAt(page.painted, x + beside, y + marker / 2)).toBe(WHITE);
    }
  });

  test('places squares and markers to 1e-5 mm', async () => {
    const page = await content(paper);
    const at = ringOrigin(page);
    const off = (v: number, grid: number): number => Math.abs(v / grid - Math.round(v / grid)) * grid;
    const sized = (side: number): Painted[] =>
      page.painted.filter((r) => Math.abs(r.width - side) < 1e-5 && Math.abs(r.height - side) < 1e-5);
    const squares = sized(layout.square);
    // Half of 16 x 12 squares, without half of the 12 x 8 of the stage.
    expect(squares).toHaveLength((16 * 12 - 12 * 8) / 2);
    for (const { x, y } of squares)
      expect(Math.max(off(x - at.x, layout.square), off(y - at.y, layout.square))).toBeLessThan(1e-5);
    const markers = sized(layout.marker);
    expect(markers).toHaveLength(layout.markers.length);
    const inset = (layout.square - layout.marker) / 2;
    for (const { x, y } of markers)
      expect(Math.max(off(x - at.x - inset, layout.square), off(y - at.y - inset, layout.square))).toBeLessThan(1e-5);
  });

  test('has two check bars at right angles, 100 mm from tick to tick, outside the quiet margin', async () => {
    const page = await content(paper);
    const [x, y] = bars(page);
    expect(x.width).toBeCloseTo(100, 5);
    expect(y.height).toBeCloseTo(100, 5);
    const middle = (r: Painted): readonly [number, number] => [r.x + r.width / 2, r.y + r.height / 2];
    const ticks = page.painted.filter(
      ({ width, height }) => Math.min(width, height) < 0.5 && Math.max(width, height) < 50,
    );
    expect(ticks).toHaveLength(4);
    for (const end of [x.x, x.x + 100])
      expect(
        ticks.some(
          (t) =>
            t.height > t.width && Math.abs(middle(t)[0] - end) < 1e-5 && Math.abs(middle(t)[1] - middle(x)[1]) < 1e-5,
        ),
      ).toBe(true);
    for (const end of [y.y, y.y + 100])
      expect(
        ticks.some(
          (t) =>
            t.width > t.height && Math.abs(middle(t)[1] - end) < 1e-5 && Math.abs(middle(t)[0] - middle(y)[0]) < 1e-5,
        ),
      ).toBe(true);
    const at = ringOrigin(page);
    const quiet = layout.quietMargin;
    const [right, bottom] = [at.x + layout.columns * layout.square + quiet, at.y + layout.rows * layout.square + quiet];
    for (const r of [x, y, ...ticks]) expect(r.x > right || r.y > bottom).toBe(true);
    // Nothing else is printed into the quiet margin either.
    for (const { left, right: end, top } of page.lines)
      expect(top > bottom || top + 5 < at.y - quiet || left > right || end < at.x - quiet).toBe(true);
  });

  test('has a frame that a bank card fills', async () => {
    const { painted } = await content(paper);
    const lines = painted.filter(
      ({ width, height }) =>
        Math.min(width, height) < 0.5 && Math.max(width, height) > 50 && Math.max(width, height) < 90,
    );
    const across = lines.filter(({ width, height }) => width > height).sort((a, b) => a.y - b.y);
    const down = lines.filter(({ width, height }) => height > width).sort((a, b) => a.x - b.x);
    expect([across.length, down.length]).toEqual([2, 2]);
    // ISO/IEC 7810:2019, clause 5: an ID-1 card is nominally 85.60 mm wide and 53.98 mm high.
    expect(down[1]!.x - (down[0]!.x + down[0]!.width)).toBeCloseTo(85.6, 5);
    expect(across[1]!.y - (across[0]!.y + across[0]!.height)).toBeCloseTo(53.98, 5);
  });

  test.each(STAGES)('with a %s stage: the window has its colour, the squares round it keep theirs', async (stage) => {
    const page = await content(paper, stage);
    const at = ringOrigin(page);
    const { x, y, width, height } = layout.window;
    const wanted = STAGE_COLOURS[stage].map((v) => Number((v / 255).toFixed(6))).join(',');
    const looks = (dx: number, dy: number): string =>
      colourAt(page.painted, at.x + dx, at.y + dy)
        .split(',')
        .map((v) => Number(Number(v).toFixed(6)))
        .join(',');
    for (const [u, v] of [
      [0.01, 0.01],
      [width - 0.01, 0.01],
      [0.01, height - 0.01],
      [width - 0.01, height - 0.01],
      [width / 2, height / 2],
    ] as const)
      expect(looks(x + u, y + v)).toBe(wanted);
    for (let k = 0; k < 12; k++) expect(looks(x + (k + 0.5) * 7, y - 0.01)).toBe(k % 2 === 0 ? WHITE : BLACK);
    for (let k = 0; k < 8; k++) expect(looks(x - 0.01, y + (k + 0.5) * 7)).toBe(k % 2 === 0 ? WHITE : BLACK);
  });

  test('stays inside the margin, text included, and says how to print in three lines', async () => {
    for (const stage of STAGES) {
      const { painted, lines } = await content(paper, stage);
      const { width, height } = PAPERS[paper];
      for (const r of painted) {
        expect(Math.min(r.x, r.y)).toBeGreaterThanOrEqual(PRINT_MARGIN);
        expect(r.x + r.width).toBeLessThanOrEqual(width - PRINT_MARGIN);
        expect(r.y + r.height).toBeLessThanOrEqual(height - PRINT_MARGIN);
      }
      for (const { text, left, right, top } of lines) {
        expect(Math.min(left, top), text).toBeGreaterThanOrEqual(PRINT_MARGIN);
        expect(right, text).toBeLessThanOrEqual(width - PRINT_MARGIN);
      }
      const at = lines.findIndex(({ text }) => text === PRINT_INSTRUCTIONS[0]);
      expect(lines.slice(at, at + 3).map(({ text }) => text)).toEqual([...PRINT_INSTRUCTIONS]);
      expect(lines[0]!.text).toContain(layout.name);
    }
  });
});

test('all markers of the printed page are found', async () => {
  for (const stage of ['white', 'black'] as const) {
    const { painted } = await content('a4', stage);
    const scale = 6;
    const [width, height] = [210 * scale, 297 * scale];
    const data = new Uint8Array(width * height).fill(255);
    for (const r of painted) {
      const grey = Math.round(255 * (0.299 * r.colour[0] + 0.587 * r.colour[1] + 0.114 * r.colour[2]));
      for (let v = Math.round(r.y * scale); v < Math.round((r.y + r.height) * scale); v++)
        data.fill(grey, v * width + Math.round(r.x * scale), v * width + Math.round((r.x + r.width) * scale));
    }
    expect(findMarkers({ width, height, data, factor: 1 })).toMatchObject({ found: { length: 48 }, mirrored: 0 });
  }
});

test('same paper and stage, same bytes; others, other bytes', async () => {
  const digest = async (paper: Paper, stage: (typeof STAGES)[number]): Promise<string> =>
    createHash('sha256')
      .update(await cardPdf(paper, stage))
      .digest('hex');
  expect(await digest('a4', 'grey')).toBe(CARD_DIGEST);
  const all = await Promise.all(papers.flatMap((paper) => STAGES.map((stage) => digest(paper, stage))));
  expect(new Set(all).size).toBe(papers.length * STAGES.length);
});

describe('advice', () => {
  test('never names the stage that a die is said to look like', () => {
    for (const { die, stages } of STAGE_ADVICE) expect(stages.filter((stage) => die.includes(stage))).toEqual([]);
  });

  test('has a die for each stage', () => {
    expect(new Set(STAGE_ADVICE.flatMap(({ stages }) => stages))).toEqual(new Set(STAGES));
  });
});

describe('evencast card', () => {
  const card = (...args: string[]): Promise<Ran> => evencast('card', ...args);

  test('writes the PDF to stdout, and nothing else', async () => {
    const { status, stdout, stderr } = spawnSync(process.execPath, [
      ...START,
      'card',
      '--paper',
      'letter',
      '--stage',
      'blue',
    ]);
    expect(status).toBe(0);
    expect(stderr.toString()).toBe('');
    expect(Buffer.compare(stdout, await cardPdf('letter', 'blue'))).toBe(0);
  });

  test('--out writes a file', async () => {
    const folder = mkdtempSync(join(tmpdir(), 'evencast-card-'));
    try {
      const file = join(folder, 'card.pdf');
      expect(await card('--out', file)).toMatchObject({ status: 0, stdout: '' });
      expect(Buffer.compare(readFileSync(file), await cardPdf())).toBe(0);
    } finally {
      rmSync(folder, { recursive: true });
    }
  });

  test.each([[['--paper', 'a5']], [['--stage', 'pink']], [['--colour', 'red']], [['--paper']]])(
    '%j: exit code 2, what is wrong on stderr',
    async (args) => {
      const { status, stdout, stderr } = await card(...args);
      expect(status).toBe(2);
      expect(stdout).toHaveLength(0);
      expect(stderr).toMatch(/^evencast card: .*\nusage: /);
    },
  );

  test('--help names papers, stages and advice on stdout', async () => {
    const { status, stdout } = await card('--help');
    expect(status).toBe(0);
    for (const word of [...papers, ...STAGES, STAGE_ADVICE[0]!.why]) expect(stdout).toContain(word);
  });
});
