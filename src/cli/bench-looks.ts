import { readdir, readFile } from 'node:fs/promises';
import { join } from 'node:path';
import sharp from 'sharp';
import { liveSight } from '../live/sight.ts';
import { median } from '../maths/linear.ts';
import type { Picture } from '../vision/picture.ts';
import { EXIT, type Command } from './command.ts';

/** A live camera's frame, px, and looks at each. */
const FRAME = { width: 1280, height: 720 } as const;
const LOOKS = 40;

/** A photo as a live camera would show it: filled up to its frame with its own margin. */
async function frameOf(file: string): Promise<Picture> {
  const { data, info } = await sharp(await readFile(file))
    .rotate()
    .resize(FRAME.width, FRAME.height, { fit: 'contain', background: '#777' })
    .ensureAlpha()
    .raw()
    .toBuffer({ resolveWithObject: true });
  return { width: info.width, height: info.height, channels: 4, data };
}

/** Times looks at a folder's photos as frames of a live camera: processor time of a look, and frames a second that one core judges. */
export const run: Command = async ([folder]) => {
  if (folder === undefined) {
    process.stderr.write('usage: npm run bench -- looks FOLDER\n');
    return EXIT.usage;
  }
  const names = (await readdir(folder)).filter((name) => /\.jpe?g$/i.test(name)).sort();
  for (const name of names) {
    const frame = await frameOf(join(folder, name));
    const spent: number[] = [];
    let seen = false;
    for (let k = 0; k < LOOKS; k++) {
      const before = process.cpuUsage();
      seen = liveSight(frame) !== null;
      const { user, system } = process.cpuUsage(before);
      spent.push((user + system) / 1000);
    }
    const usual = median(spent.slice(LOOKS >> 1));
    process.stdout.write(
      `${name} at ${FRAME.width} x ${FRAME.height}: ${usual.toFixed(1)} ms of processor time a look, ${(1000 / usual).toFixed(0)} looks a second; card ${seen ? 'found' : 'not found'}\n`,
    );
  }
  return EXIT.done;
};
