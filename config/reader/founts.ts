/** Founts that the reader of faces is trained, tuned and judged on; all from packages with free licences. */
import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { dirname, join } from 'node:path';
/// <reference path="../../src/report/forms/fontkit.d.ts" />
import { create } from 'fontkit';

/** Which founts serve what: no family serves twice. */
export type Share = 'train' | 'tune' | 'judge';

/** A family and the weights of it that are used; a package name without a scope is a file of the DejaVu package. */
const FAMILIES: Readonly<Record<Share, Readonly<Record<string, readonly number[]>>>> = {
  train: {
    DejaVuSans: [400],
    'DejaVuSans-Bold': [700],
    'DejaVuSansCondensed-Bold': [700],
    DejaVuSerif: [400],
    'DejaVuSerif-Bold': [700],
    DejaVuSansMono: [400],
    anton: [400],
    'bebas-neue': [400],
    'archivo-black': [400],
    'russo-one': [400],
    audiowide: [400],
    orbitron: [500, 900],
    cabin: [400, 700],
    lato: [400, 900],
    'josefin-sans': [400, 700],
    quicksand: [500, 700],
    oswald: [300, 600],
    jost: [400, 700],
    'abril-fatface': [400],
    'alfa-slab-one': [400],
    arvo: [400, 700],
    'old-standard-tt': [400, 700],
    'libre-baskerville': [400, 700],
    cinzel: [400, 800],
    'playfair-display': [400, 800],
    'pirata-one': [400],
    'uncial-antiqua': [400],
    medievalsharp: [400],
    'patrick-hand': [400],
    'permanent-marker': [400],
    kalam: [400, 700],
    'indie-flower': [400],
    'comic-neue': [400, 700],
    chango: [400],
    lobster: [400],
    graduate: [400],
    'share-tech-mono': [400],
    'titillium-web': [400, 700],
    'fjalla-one': [400],
    'pathway-gothic-one': [400],
    'passion-one': [700],
    'saira-extra-condensed': [500],
    'zilla-slab': [400, 700],
    gelasio: [400, 700],
    'pt-serif': [400, 700],
    domine: [400, 700],
    ultra: [400],
    'gochi-hand': [400],
    'shadows-into-light': [400],
    almendra: [400, 700],
    'caesar-dressing': [400],
    inter: [400, 700],
    montserrat: [400, 700],
    nunito: [400, 700],
    fredoka: [400, 700],
    'baloo-2': [400, 700],
    comfortaa: [400, 700],
    signika: [400, 700],
    'exo-2': [400, 700],
    rajdhani: [400, 700],
    teko: [400, 700],
    'chakra-petch': [400, 700],
    oxanium: [400, 700],
    michroma: [400],
    aldrich: [400],
    'black-ops-one': [400],
    bungee: [400],
    bangers: [400],
    'carter-one': [400],
    'lilita-one': [400],
    'luckiest-guy': [400],
    'sigmar-one': [400],
    shrikhand: [400],
    'berkshire-swash': [400],
    courgette: [400],
    'kaushan-script': [400],
    'im-fell-english': [400],
    unifrakturcook: [700],
    'germania-one': [400],
    'rock-salt': [400],
    'covered-by-your-grace': [400],
    'short-stack': [400],
    'courier-prime': [400, 700],
    cardo: [400, 700],
    vollkorn: [400, 700],
    spectral: [400, 700],
    'dm-serif-display': [400],
    prata: [400],
    philosopher: [400, 700],
    'bree-serif': [400],
    rokkitt: [400, 700],
    quattrocento: [400, 700],
    'bodoni-moda': [400, 700],
    'asap-condensed': [400, 700],
    'fira-sans-extra-condensed': [400, 700],
    'pt-sans-narrow': [400, 700],
    'big-shoulders-display': [400, 700],
    antonio: [400, 700],
  },
  tune: {
    'crimson-text': [400, 700],
    metamorphous: [400],
    'architects-daughter': [400],
    vt323: [400],
    sanchez: [400],
    marcellus: [400],
  },
  judge: {
    merriweather: [400, 700],
    bitter: [400, 700],
    'roboto-condensed': [400, 700],
    'league-gothic': [400],
    'archivo-narrow': [400, 700],
    alegreya: [400, 700],
    lora: [400, 700],
    'titan-one': [400],
    'paytone-one': [400],
    'barlow-condensed': [400, 700],
    handlee: [400],
    schoolbell: [400],
    caveat: [400, 700],
    'gloria-hallelujah': [400],
    poppins: [400, 700],
    rubik: [400, 700],
  },
};

/** Distances from a character's outline on a grid, positive inside; lengths in heights of the figure 8, y up from the line it stands on. */
export interface Glyph {
  readonly width: number;
  readonly height: number;
  readonly distance: Float32Array;
  /** Room that the character takes. */
  readonly advance: number;
}

/** Grid of a glyph: cells per height, and where it begins. */
export const CELL = { perUnit: 26, left: -0.3, bottom: -0.5, top: 1.35 } as const;

/** A fount's figures and some letters. */
export interface Fount {
  readonly name: string;
  readonly glyphs: ReadonlyMap<string, Glyph>;
}

export const LETTERS = [...'ABEGKMRSXZ&?'];

/** All founts of a share, in the order of the list. */
export function founts(share: Share): Fount[] {
  const require = createRequire(import.meta.url);
  return Object.entries(FAMILIES[share]).flatMap(([family, weights]) =>
    weights.map((weight) => {
      const file = family.startsWith('DejaVu')
        ? require.resolve(`dejavu-fonts-ttf/ttf/${family}.ttf`)
        : join(
            dirname(require.resolve(`@fontsource/${family}/package.json`)),
            `files/${family}-latin-${weight}-normal.woff`,
          );
      return fount(`${family} ${weight}`, readFileSync(file));
    }),
  );
}

/** The figures and letters of one font file. */
export function fount(name: string, bytes: Uint8Array): Fount {
  const font = create(bytes);
  const rings = (c: string): { rings: number[][]; advance: number } => {
    const run = font.layout(c);
    return { rings: flattened(run.glyphs[0]!.path.toSVG()), advance: run.advanceWidth };
  };
  const eight = rings('8')
    .rings.flat()
    .filter((_, k) => k % 2 === 1);
  const bottom = Math.min(...eight);
  const unit = Math.max(...eight) - bottom;
  const glyphs = new Map(
    [...'0123456789', ...LETTERS].map((c) => {
      const { rings: r, advance } = rings(c);
      const scaled = r.map((ring) => ring.map((v, k) => (k % 2 === 0 ? v : v - bottom) / unit));
      return [c, distances(scaled, advance / unit)] as const;
    }),
  );
  return { name, glyphs };
}

/** An outline in the letters of SVG as closed rings [x0, y0, x1, y1, ...], curves in five straight pieces. */
export function flattened(svg: string): number[][] {
  const rings: number[][] = [];
  let ring: number[] = [];
  for (const [, command, rest] of svg.matchAll(/([MLQCZ])([^MLQCZ]*)/g)) {
    const n = (rest!.match(/-?\d*\.?\d+(?:e-?\d+)?/g) ?? []).map(Number);
    if (command === 'M') {
      ring = [n[0]!, n[1]!];
      rings.push(ring);
    } else if (command === 'L') ring.push(n[0]!, n[1]!);
    else if (command === 'Q' || command === 'C') {
      const points = [ring.at(-2)!, ring.at(-1)!, ...n];
      for (let k = 1; k <= 5; k++) ring.push(onCurve(points, 0, k / 5), onCurve(points, 1, k / 5));
    }
  }
  return rings.filter((r) => r.length >= 6);
}

/** One coordinate of a Bezier curve (de Casteljau). */
function onCurve(points: readonly number[], coordinate: number, t: number): number {
  const p = points.filter((_, k) => k % 2 === coordinate);
  while (p.length > 1) {
    for (let k = 0; k + 1 < p.length; k++) p[k] = p[k]! * (1 - t) + p[k + 1]! * t;
    p.pop();
  }
  return p[0]!;
}

/** Signed distances from rings, by every piece; inside by the winding number. */
function distances(rings: readonly number[][], advance: number): Glyph {
  const width = Math.ceil((Math.max(advance, 0.2) + 2 * -CELL.left) * CELL.perUnit);
  const height = Math.ceil((CELL.top - CELL.bottom) * CELL.perUnit);
  const distance = new Float32Array(width * height);
  const pieces = Float64Array.from(
    rings.flatMap((r) =>
      Array.from({ length: r.length / 2 }, (_, k) => [0, 1, 2, 3].map((i) => r[(2 * k + i) % r.length]!)).flat(),
    ),
  );
  for (let v = 0; v < height; v++)
    for (let u = 0; u < width; u++) {
      const x = CELL.left + (u + 0.5) / CELL.perUnit;
      const y = CELL.bottom + (v + 0.5) / CELL.perUnit;
      let near = 1;
      let winding = 0;
      for (let k = 0; k < pieces.length; k += 4) {
        const ax = x - pieces[k]!;
        const ay = y - pieces[k + 1]!;
        const dx = pieces[k + 2]! - pieces[k]!;
        const dy = pieces[k + 3]! - pieces[k + 1]!;
        const t = Math.min(1, Math.max(0, (ax * dx + ay * dy) / (dx * dx + dy * dy || 1)));
        const ex = ax - t * dx;
        const ey = ay - t * dy;
        const d = ex * ex + ey * ey;
        if (d < near) near = d;
        if (ay >= 0 !== ay - dy >= 0 && ax * dy - ay * dx < 0 === dy > 0) winding += dy > 0 ? 1 : -1;
      }
      distance[v * width + u] = (winding === 0 ? -1 : 1) * Math.sqrt(near);
    }
  return { width, height, distance, advance };
}

/** Distance from the outline at a place in the glyph's frame (bilinear); far outside its grid -1. */
export function distanceAt({ width, height, distance }: Glyph, x: number, y: number): number {
  const u = (x - CELL.left) * CELL.perUnit - 0.5;
  const v = (y - CELL.bottom) * CELL.perUnit - 0.5;
  const i = Math.floor(u);
  const j = Math.floor(v);
  if (i < 0 || j < 0 || i + 1 >= width || j + 1 >= height) return -1;
  const k = j * width + i;
  const a = u - i;
  const b = v - j;
  return (
    (distance[k]! * (1 - a) + distance[k + 1]! * a) * (1 - b) +
    (distance[k + width]! * (1 - a) + distance[k + width + 1]! * a) * b
  );
}
