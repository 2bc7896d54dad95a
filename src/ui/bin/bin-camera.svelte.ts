import type { BinPhoto } from '../../bin/types.ts';

/** What the live camera tells: why it waits, or that it judged. */
export type BinCameraAdvice = 'no-card' | 'hands' | 'hold' | 'same' | 'sees';

/** Dice count as lying still where they moved by less between two looks, mm. */
const STILL = 0.6;
/** Looks in a row that must agree. */
const LOOKS = 2;
/** Pause between two looks, ms. */
const PAUSE = 150;
const QUALITY = 0.97;

/** Whether two looks show the same things at the same places. */
export function sameScene(a: BinPhoto | null, b: BinPhoto): boolean {
  if (!a || a.dice.length !== b.dice.length) return false;
  return b.dice.every((d) => a.dice.some((o) => Math.hypot(o.x - d.x, o.y - d.y) < STILL));
}

/** Whether something other than dice reaches in: then nothing is judged. */
export const handsIn = (p: BinPhoto): boolean => p.dice.some((d) => d.reasons.some((r) => r.code === 'reaching-in'));

/** A live camera over the card: judges by itself each time that new dice lie still and no hand is in the picture. */
export class BinCamera {
  stream = $state.raw<MediaStream | null>(null);
  fault = $state(false);
  advice = $state<BinCameraAdvice>('no-card');
  seen = $state.raw<BinPhoto | null>(null);
  readonly #look: (frame: ImageBitmap) => Promise<BinPhoto | null>;
  readonly #ontake: (photo: File, seen: BinPhoto) => void;
  #taken: BinPhoto | null = null;
  #still = 0;
  #count = 0;

  constructor(look: (frame: ImageBitmap) => Promise<BinPhoto | null>, ontake: (photo: File, seen: BinPhoto) => void) {
    this.#look = look;
    this.#ontake = ontake;
  }

  async open(video: HTMLVideoElement): Promise<void> {
    this.fault = false;
    try {
      const size = { width: { ideal: 4096 }, height: { ideal: 3072 } };
      this.stream = await navigator.mediaDevices.getUserMedia({
        audio: false,
        video: { ...size, facingMode: { ideal: 'environment' } },
      });
    } catch {
      this.fault = true;
      return;
    }
    const stream = this.stream;
    video.srcObject = stream;
    await video.play().catch(() => undefined);
    while (this.stream === stream) {
      await this.#once(video, stream);
      await new Promise((resolve) => setTimeout(resolve, PAUSE));
    }
  }

  close(): void {
    this.stream?.getTracks().forEach((track) => track.stop());
    this.stream = null;
    this.seen = null;
  }

  async #once(video: HTMLVideoElement, stream: MediaStream): Promise<void> {
    if (video.videoWidth === 0 || document.visibilityState !== 'visible') return;
    const frame = await createImageBitmap(video).catch(() => null);
    const photo = frame && (await this.#look(frame));
    if (this.stream !== stream || !photo) return;
    this.advice = this.judge(photo);
    if (this.advice !== 'sees') return;
    const file = await still(video, ++this.#count);
    if (!file || this.stream !== stream) return;
    this.#taken = photo;
    this.#ontake(file, photo);
  }

  /** What to tell of a look; 'sees' where it is to be judged. */
  judge(photo: BinPhoto): BinCameraAdvice {
    const before = this.seen;
    this.seen = photo;
    if (photo.status === 'left-out') {
      this.#still = 0;
      // An empty stage or a covered card: whatever comes next is new.
      this.#taken = null;
      return photo.code === 'no-die' ? 'same' : 'no-card';
    }
    if (handsIn(photo)) {
      this.#still = 0;
      return 'hands';
    }
    if (sameScene(this.#taken, photo)) return 'same';
    this.#still = sameScene(before, photo) ? this.#still + 1 : 0;
    return this.#still >= LOOKS ? 'sees' : 'hold';
  }
}

async function still(video: HTMLVideoElement, count: number): Promise<File | null> {
  const canvas = document.createElement('canvas');
  canvas.width = video.videoWidth;
  canvas.height = video.videoHeight;
  canvas.getContext('2d')?.drawImage(video, 0, 0);
  const blob = await new Promise<Blob | null>((resolve) => canvas.toBlob(resolve, 'image/jpeg', QUALITY));
  return blob && new File([blob], `camera-${String(count).padStart(3, '0')}.jpg`, { type: blob.type });
}

/** One tone for keepers alone, a lower pair where something is to be taken out; nothing where the browser has no sound. */
export function sound(photo: BinPhoto): void {
  const Audio = (globalThis as { AudioContext?: typeof AudioContext }).AudioContext;
  if (!Audio) return;
  const context = new Audio();
  const bad = photo.dice.some((d) => d.verdict !== 'keep');
  const tones = bad ? [330, 247] : [660];
  tones.forEach((frequency, i) => {
    const tone = context.createOscillator();
    const gain = context.createGain();
    gain.gain.value = 0.08;
    tone.frequency.value = frequency;
    tone.connect(gain).connect(context.destination);
    tone.start(context.currentTime + 0.18 * i);
    tone.stop(context.currentTime + 0.18 * i + 0.14);
  });
  setTimeout(() => void context.close(), 1000);
}
