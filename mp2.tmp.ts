import { readFileSync } from 'node:fs';
import { openPhoto } from './src/photo/open.ts';
import { decodePicture } from './src/cli/decode.ts';
import { asStored } from './src/photo/orientation.ts';
const o = await openPhoto('a', new Uint8Array(readFileSync(process.argv[2]!)), decodePicture);
console.log(o.ok ? 'ok' : o.error);
if (o.ok) asStored(o.value.picture, 6);
