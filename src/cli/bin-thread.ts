import { workerData } from 'node:worker_threads';
import type { Looked } from '../bin/bin-stream.ts';
import type { BinJob } from '../bin/types.ts';
import { photoLooker } from './bin-look.ts';
import { loadCv } from './opencv-node.ts';

/** What a thread is started with: OpenCV compiled, where the photos lie, and what is sorted. */
export interface BinThreadData {
  readonly module: WebAssembly.Module;
  readonly folder: string;
  readonly job: BinJob;
}

const { module, folder, job } = (workerData as { data: BinThreadData }).data;
const look = photoLooker(await loadCv(module), folder, job);

/** Looks at one photo of the folder. */
export const answer = (name: string): Promise<Looked> => look(name);
