import type { Page } from 'playwright';
import sharp from 'sharp';

/** Windows in which each room is pictured, px: a telephone's and a desk's. */
export const PICTURE_SIZES = [
  { width: 390, height: 844 },
  { width: 1440, height: 900 },
] as const;

export type Scheme = 'light' | 'dark';

/** A picture made so small that text is grey and only the room's build is left: 8 bits a pixel, rows from the top. */
export interface SmallGrey {
  readonly width: number;
  readonly height: number;
  readonly data: Buffer;
}

const SMALL_WIDTH = 64;

/** A picture as it is stored: WebP. */
export const stored = (png: Buffer): Promise<Buffer> => sharp(png).webp({ quality: 60 }).toBuffer();

/** @param webp  A stored picture or its file: decoders give other formats other greys. */
export async function smallGrey(webp: Buffer | string): Promise<SmallGrey> {
  const { data, info } = await sharp(webp).resize(SMALL_WIDTH).greyscale().raw().toBuffer({ resolveWithObject: true });
  return { width: info.width, height: info.height, data };
}

/**
 * How two small pictures differ: the mean difference of grey, 0 to 255; Infinity where they have not one size.
 *
 * Found with the sample in each room: 0.8 to 12.7 where one panel in sight is taken away, up to 0.4 where a change of measuring changed
 * the numbers, below 0.1 between two runs.
 */
export function greyDifference(a: SmallGrey, b: SmallGrey): number {
  if (a.width !== b.width || a.height !== b.height) return Infinity;
  return a.data.reduce((sum, value, k) => sum + Math.abs(value - b.data[k]!), 0) / a.data.length;
}

/** Shows every room that the page links to in each window and scheme, and tells the name of its picture. */
export async function* roomsShown(
  page: Page,
  sizes: readonly { readonly width: number; readonly height: number }[],
  schemes: readonly Scheme[],
): AsyncGenerator<string> {
  const rooms = await page
    .getByRole('navigation')
    .getByRole('link')
    .evaluateAll((links) => links.map((link) => link.getAttribute('href')!));
  for (const address of rooms) {
    await page.evaluate((hash) => (location.hash = hash), address);
    await page.locator(`nav a[href="${address}"][aria-current=page]`).waitFor();
    await page.locator('main h2').first().waitFor();
    for (const size of sizes) {
      await page.setViewportSize(size);
      for (const colorScheme of schemes) {
        await page.emulateMedia({ colorScheme });
        yield `${address.slice(2) || 'start'}-${size.width}-${colorScheme}`;
      }
    }
  }
}
