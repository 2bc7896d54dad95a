import { idle } from '../kit/idle.ts';
import { route } from '../kit/route.svelte.ts';
import { savesData } from '../store/saves-data.ts';
import { selfTest } from '../store/self-test.svelte.ts';
import { bench } from '../store/the-bench.ts';
import { fetchMeasuring } from './rooms.ts';

/** Rooms in which no other worker is busy. */
const QUIET_ROOMS: readonly string[] = ['', 'card', 'photos', 'check'];
/** A device with less memory than this, GB, is left alone: the worker with its code takes some 150 MB. */
const ENOUGH_MEMORY = 4;
/** A battery below this share that is not being charged is left alone too. */
const ENOUGH_POWER = 0.3;

interface Device {
  readonly deviceMemory?: number;
  readonly getBattery?: () => Promise<{ readonly charging: boolean; readonly level: number }>;
}

/** Whether this device has memory, cores and power for what nobody asked for. Where it does not tell its memory, a touch screen stands for a small one. */
async function hasEnough(): Promise<boolean> {
  const { deviceMemory, getBattery } = navigator as Device;
  const roomy = deviceMemory === undefined ? !matchMedia('(pointer: coarse)').matches : deviceMemory >= ENOUGH_MEMORY;
  if (savesData() || !roomy || navigator.hardwareConcurrency < 2) return false;
  const battery = await getBattery?.call(navigator).catch(() => undefined);
  return battery === undefined || battery.charging || battery.level >= ENOUGH_POWER;
}

const isQuiet = (): boolean =>
  document.visibilityState === 'visible' && bench.isUntouched && QUIET_ROOMS.includes(route.place.room);

/** Readies measuring while the page stands idle: its rooms are fetched, then the sample is measured as a test of this browser. */
export async function warmUp(): Promise<void> {
  if (!(await hasEnough())) return;
  await idle();
  if (!isQuiet()) return;
  fetchMeasuring();
  bench.expect();
  await idle();
  if (isQuiet()) await selfTest.run(bench);
}
