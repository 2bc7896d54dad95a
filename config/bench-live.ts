/** Plays a moving camera to the page: how many frames a second it judges, and how soon a photo takes itself. `npm run bench -- live`. */
import { readdirSync } from 'node:fs';
import { join } from 'node:path';
import { chromium } from 'playwright';
import sharp from 'sharp';
import { median } from '../src/maths/linear.ts';
import { withBuiltPage } from './with-built-page.ts';
import { CHROMIUM_FLAGS, findChromium, HOW_TO_GET_CHROMIUM } from './chromium.ts';
import { videoWriter } from './fake-video.ts';

const root = join(import.meta.dirname, '..');
/** What a telephone's live picture has. */
const [WIDTH, HEIGHT, RATE] = [1280, 720, 30];
/** Frames for which each photo stands still, and for which it comes and goes, px a frame. */
const STILL = 45;
const MOVING = 12;
const SPEED = 14;
/** Side of the corner that is white while the picture stands, px. */
const SIGN = 24;
/** For how long the page looks on, and for how long it takes photos, s. */
const LOOKING = 10;
const TAKING = 20;
/** Shots on the list: enough for the time. */
const PHOTOS = '8';
/** A telephone's page, px: what the browser draws without a graphics card is little then. */
const VIEW = { width: 390, height: 844 } as const;

/** What the page's own script noted, ms since it began. */
interface Noted {
  readonly looks: number[];
  readonly still: number[];
  readonly good: number[];
  readonly shots: number[];
}

declare global {
  /** In the page that looks. */

  var noted: Noted;
}

/** Photos that come into the picture, stand, and leave it again; a sign in the corner tells when they stand. */
async function writeMoving(file: string, photos: readonly string[]): Promise<void> {
  const video = await videoWriter(file, WIDTH, HEIGHT, RATE);
  for (const photo of photos) {
    const edge = MOVING * SPEED;
    const image = await sharp(photo)
      .rotate()
      .resize(WIDTH, HEIGHT, { fit: 'contain', background: '#777' })
      .extend({ left: edge, right: edge, background: '#777' })
      .removeAlpha()
      .png()
      .toBuffer();
    const at = async (shift: number, sign: number): Promise<Buffer> => {
      const rgb = await sharp(image)
        .extract({ left: edge + shift, top: 0, width: WIDTH, height: HEIGHT })
        .raw()
        .toBuffer();
      for (let y = 0; y < SIGN; y++) rgb.fill(sign, 3 * WIDTH * y, 3 * (WIDTH * y + SIGN));
      return rgb;
    };
    for (let k = MOVING; k > 0; k--) await video.add(await at(k * SPEED, 0), 1);
    await video.add(await at(0, 255), STILL);
    for (let k = 1; k <= MOVING; k++) await video.add(await at(-k * SPEED, 0), 1);
  }
  await video.close();
}

/** Runs in the page from its start: notes looks, when the picture comes to stand, when all is well, and photos. */
function note(sign: number): void {
  const noted: Noted = { looks: [], still: [], good: [], shots: [] };
  globalThis.noted = noted;
  const Plain = Worker;
  globalThis.Worker = class extends Plain {
    constructor(url: string | URL, options?: WorkerOptions) {
      super(url, options);
      if (String(url).includes('sight')) this.addEventListener('message', () => noted.looks.push(performance.now()));
    }
  };
  const toBlob = HTMLCanvasElement.prototype.toBlob;
  HTMLCanvasElement.prototype.toBlob = function (...given) {
    if (given[1] === 'image/jpeg') noted.shots.push(performance.now());
    toBlob.apply(this, given);
  };
  let good = false;
  new MutationObserver(() => {
    const now = document.querySelector('.advice.good') !== null;
    if (now && !good) noted.good.push(performance.now());
    good = now;
  }).observe(document, { subtree: true, childList: true, attributes: true });
  const canvas = new OffscreenCanvas(1, 1);
  const context = canvas.getContext('2d', { willReadFrequently: true })!;
  let still = false;
  const look = (): void => {
    const video = document.querySelector('video');
    if (video === null || video.videoWidth === 0) return void requestAnimationFrame(look);
    context.drawImage(video, sign / 2, sign / 2, 1, 1, 0, 0, 1, 1);
    const now = context.getImageData(0, 0, 1, 1).data[0]! > 128;
    if (now && !still) noted.still.push(performance.now());
    still = now;
    video.requestVideoFrameCallback(look);
  };
  look();
}

/** The page at `url` before a camera that plays `video`. */
async function looked(url: string, video: string): Promise<Noted> {
  const executablePath = findChromium();
  if (executablePath === undefined) throw new Error(HOW_TO_GET_CHROMIUM);
  const args = [
    ...CHROMIUM_FLAGS,
    '--use-fake-ui-for-media-stream',
    '--use-fake-device-for-media-stream',
    `--use-file-for-fake-video-capture=${video}`,
  ];
  const browser = await chromium.launch({ executablePath, args });
  try {
    const page = await browser.newPage({ locale: 'en-GB', serviceWorkers: 'block', viewport: VIEW });
    page.setDefaultTimeout(120_000);
    page.on('pageerror', (error) => process.stderr.write(`${error.message}\n`));
    // What the translator wraps named functions in, which the page does not know.
    await page.addInitScript('globalThis.__name = (named) => named');
    await page.addInitScript(note, SIGN);
    await page.goto(`${url}#/photos`);
    await page.getByText('helps most now').waitFor();
    await page.locator('section:has(#shots)').getByLabel('Photos').selectOption('own');
    await page.getByLabel('How many photos').fill(PHOTOS);
    await page.getByText(new RegExp(`^To expect with ${PHOTOS} photos`)).waitFor();
    await page.getByRole('button', { name: /^Take it now: shot 1$/ }).click();
    await page.getByLabel('Take by itself').selectOption('off');
    await page.waitForFunction(() => globalThis.noted.looks.length > 20);
    const from = await page.evaluate(() => performance.now());
    await page.waitForTimeout(1000 * LOOKING);
    const { looks } = await page.evaluate(() => globalThis.noted);
    await page.getByLabel('Take by itself').selectOption('any');
    await page.waitForTimeout(1000 * TAKING);
    return { ...(await page.evaluate(() => globalThis.noted)), looks: looks.filter((at) => at > from) };
  } finally {
    await browser.close();
  }
}

/** Builds the page, plays the photos of a folder of a d6 (the sample's where none is named) to it, and prints the figures. @returns The exit code. */
export async function run([folder = join(root, 'samples/d6')]: readonly string[]): Promise<number> {
  const photos = readdirSync(folder).filter((name) => /\.jpe?g$/i.test(name));
  const noted = await withBuiltPage(async ({ url, outDir }) => {
    const video = join(outDir, 'moving.y4m');
    await writeMoving(
      video,
      photos.sort().map((name) => join(folder, name)),
    );
    return looked(url, video);
  });
  process.stdout.write(told(noted));
  return 0;
}

function told({ looks, still, good, shots }: Noted): string {
  const since = (events: readonly number[], at: number): number => at - Math.max(...events.filter((e) => e <= at));
  const spread = (values: readonly number[]): string => {
    const known = values.filter(Number.isFinite);
    if (known.length === 0) return 'none';
    return `${median(known).toFixed(0)} ms (${Math.min(...known).toFixed(0)} to ${Math.max(...known).toFixed(0)}; ${known.length})`;
  };
  const pace = (1000 * (looks.length - 1)) / (looks.at(-1)! - looks[0]!);
  return [
    `${pace.toFixed(1)} frames of ${WIDTH} x ${HEIGHT} judged a second, the median ${spread(looks.slice(1).map((at, i) => at - looks[i]!))} after the one before`,
    `from "all is well" to the photo: ${spread(shots.map((at) => since(good, at)))}`,
    `from the picture's standing still to the photo: ${spread(shots.map((at) => since(still, at)))}`,
    '',
  ].join('\n');
}
