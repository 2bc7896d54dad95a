/** Writes the PNG icons from public/icon.svg: `npx tsx config/icons.ts`. Run it after a change of the drawing. */
import { join } from 'node:path';
import sharp, { type Sharp } from 'sharp';

const folder = join(import.meta.dirname, '../public');
const drawing = join(folder, 'icon.svg');
const PAPER = '#f5f4ef';

const drawn = (size: number): Sharp => sharp(drawing, { density: (72 * size) / 32 }).resize(size, size);

for (const size of [192, 512])
  await drawn(size)
    .png({ compressionLevel: 9 })
    .toFile(join(folder, `icon-${size}.png`));

// Systems cut a maskable icon to a circle of 80 % (W3C Web Application Manifest, "maskable"): the drawing stays inside.
const inner = await drawn(320).png().toBuffer();
await sharp({ create: { width: 512, height: 512, channels: 4, background: PAPER } })
  .composite([{ input: inner, gravity: 'centre' }])
  .png({ compressionLevel: 9 })
  .toFile(join(folder, 'icon-maskable.png'));
