import { mkdir, readdir, readFile, writeFile } from 'node:fs/promises';
import { basename, join } from 'node:path';
import sharp from 'sharp';
import { coarseDie, diePose } from '../faces/die-pose.ts';
import { FACE_SIZE, facePictures, type FacePicture } from '../faces/face-picture.ts';
import { DIE_KINDS, dieSolid, type DieKind } from '../geometry/solid.ts';
import { calibration } from '../vision/calibration.ts';
import { lookAt, type Added } from '../measure/look.ts';
import { median } from '../maths/linear.ts';
import { focalPx } from '../photo/exif-focal.ts';
import { sniffImage } from '../photo/sniff.ts';
import { EXIT, type Command } from './command.ts';
import { decodePicture } from './decode.ts';
import { facePng } from './write-faces.ts';

const HELP = `usage: npm run bench -- faces FOLDER [--die KIND] --out DIR

Writes each face that the photos show, straightened, as PNG: PHOTO-sSLOT.png, SLOT being the face's place in the solid's order with its
first face up as the die happens to stand; one sheet per photo (PHOTO.png); and faces.json with slant and scale of each.
The kind is taken from --die or from FOLDER/job.json; numbers are neither needed nor read.
`;

/** Straightened faces of a folder's photos as pictures, for looking at. */
export const run: Command = async (args) => {
  const out = optionOf(args, '--out');
  const folder = args.find((a, i) => !a.startsWith('-') && !['--out', '--die'].includes(args[i - 1] ?? ''));
  if (folder === undefined || out === undefined) {
    process.stdout.write(HELP);
    return EXIT.usage;
  }
  const kind = optionOf(args, '--die') ?? (await jobKind(folder));
  if (kind === undefined || !(DIE_KINDS as readonly string[]).includes(kind)) {
    process.stderr.write(`${folder}: no kind of die given\n`);
    return EXIT.usage;
  }
  const photos = await looked(folder);
  const { width, height } = photos[0]!.survey;
  const focals = photos.flatMap((a) => (a.focal === null ? [] : [a.focal]));
  const cal = calibration(
    photos.map((a) => a.survey.sight),
    { width, height },
    focals.length > 0 ? median(focals) : null,
    [1, 1],
  );
  if (!cal.ok) throw new Error(cal.error.code);
  const solid = dieSolid(kind as DieKind);
  await mkdir(out, { recursive: true });
  const index: object[] = [];
  for (const [i, a] of photos.entries()) {
    const view = { camera: cal.value.cameras[i]!, cameraFromCard: cal.value.cameraFromCard[i]! };
    const found = diePose(solid, view, a.survey.regions[0]!, a.survey.crop);
    const faces = facePictures(coarseDie(solid, view, a.survey.crop, found, i));
    const name = basename(a.shot.photo).replace(/\.[a-z]+$/i, '');
    process.stdout.write(
      `${a.shot.photo}: misfit ${(100 * found.misfit).toFixed(2)} % of its width, size ${(2 * found.pose.size).toFixed(2)} mm, ${faces.length} faces in sight\n`,
    );
    for (const f of faces) {
      await writeFile(join(out, `${name}-s${f.face}.png`), await facePng(f));
      index.push({ photo: a.shot.photo, slot: f.face, slant: f.slant, umPerPx: f.umPerPx, photoPx: f.photoPx });
    }
    await writeFile(join(out, `${name}.png`), await sheet(faces));
  }
  await writeFile(join(out, 'faces.json'), `${JSON.stringify(index, null, 1)}\n`);
  return EXIT.done;
};

const optionOf = (args: readonly string[], name: string): string | undefined => {
  const i = args.indexOf(name);
  return i < 0 ? undefined : args[i + 1];
};

async function jobKind(folder: string): Promise<string | undefined> {
  const text = await readFile(join(folder, 'job.json'), 'utf8').catch(() => '{}');
  return (JSON.parse(text) as { die?: string }).die;
}

async function looked(folder: string): Promise<Added[]> {
  const names = (await readdir(folder)).filter((n) => /\.(jpe?g|png)$/i.test(n)).sort();
  const out: Added[] = [];
  for (const photo of names) {
    const bytes = await readFile(join(folder, photo));
    const picture = await decodePicture(bytes);
    const sniffed = sniffImage(bytes);
    const focal = sniffed.ok ? focalPx(sniffed.value.focal35, picture.width, picture.height) : null;
    const one = lookAt({ name: photo, picture, focal }, { photo, up: '', front: '' });
    if (one.ok) out.push(one.value);
    else process.stdout.write(`${photo}: ${one.error[0]!.code}\n`);
  }
  return out;
}

async function sheet(faces: readonly FacePicture[]): Promise<Buffer> {
  const across = Math.min(6, faces.length);
  const step = FACE_SIZE + 4;
  const tiles = await Promise.all(faces.map(facePng));
  const background = { r: 40, g: 40, b: 40, alpha: 1 };
  return sharp({
    create: { width: across * step, height: Math.ceil(faces.length / across) * step, channels: 4, background },
  })
    .composite(
      tiles.map((input, i) => ({ input, left: (i % across) * step + 2, top: Math.floor(i / across) * step + 2 })),
    )
    .png()
    .toBuffer();
}
