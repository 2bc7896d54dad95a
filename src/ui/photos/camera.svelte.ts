import type { LiveDie, LiveNumbers } from '../../live/live-numbers.ts';
import { LIVE, liveAdvice, sweptThrough, touched, type LiveAdvice, type LiveSight } from '../../live/sight.ts';
import { keptChoice } from '../kit/kept-settings.svelte.ts';
import { sightClient } from './sight-client.ts';

export type CameraFault = 'no-camera' | 'denied' | 'busy' | 'no-photo' | 'lost' | 'looking';

/** When a photo takes itself. */
export const AUTO = ['planned', 'any', 'off'] as const;
export type Auto = (typeof AUTO)[number];

/** How long all must have been well before a photo takes itself, ms: so that two looks agree; with the stillness before, a swing of a hand's tremor. */
const GOOD_FOR = 45;
/** Photos of a burst while the camera sweeps through an angle. */
const BURST = 3;
/** Least time from one look to the next, ms, and least pause between them: the page and a telephone's battery want some, too. */
const EVERY = 50;
const PAUSE = 8;
/** Pause between two readings of the die's numbers, ms: each takes as long as some looks. */
const READ_PAUSE = 1200;
/** Quality of a frame kept as JPEG, where the camera gives no still of its own. */
const QUALITY = 0.97;

/** Parts of the image capture standard (W3C MediaStream Image Capture) that not every browser has, and TypeScript does not know. */
interface StillCapture {
  takePhoto(settings?: { imageWidth?: number; imageHeight?: number }): Promise<Blob>;
  getPhotoCapabilities(): Promise<{ imageWidth?: { max?: number }; imageHeight?: { max?: number } }>;
}
type StillCaptureClass = new (track: MediaStreamTrack) => StillCapture;
const stillCapture = (): StillCaptureClass | undefined =>
  (globalThis as { ImageCapture?: StillCaptureClass }).ImageCapture;

/** Whether the browser can show a camera at all; the page must come from a safe origin. */
export const canUseCamera = (): boolean =>
  typeof navigator !== 'undefined' &&
  (navigator as { mediaDevices?: MediaDevices }).mediaDevices?.getUserMedia !== undefined;

/** A live camera: what it sees, what to tell of that, and its photos. */
export class Camera {
  readonly #looker = sightClient();
  readonly #ontake: (photo: File) => void;
  /** Lean that the next photo should have, radians, and whether the camera sweeps through it. */
  readonly #wanted: () => { readonly lean: number; readonly sweep: boolean };
  /** The die whose numbers are read while it is looked at. */
  readonly #die: () => LiveDie;
  stream = $state.raw<MediaStream | null>(null);
  devices = $state.raw<readonly { readonly id: string; readonly name: string }[]>([]);
  device = $state('');
  /** Null where the camera has no light. */
  torch = $state<boolean | null>(null);
  readonly #auto = keptChoice<Auto>('camera-auto', AUTO);
  fault = $state<CameraFault | null>(null);
  sight = $state.raw<LiveSight | null>(null);
  /** Which number is up, as the last reading told it of the die that lies there; null where it told nothing. */
  numbers = $state.raw<LiveNumbers | null>(null);
  /** Null before the first look. */
  advice = $state<LiveAdvice | null>(null);
  taking = $state(false);
  /** Whether stills of more pixels than the video's can be had. */
  stills = $state(false);
  #video: HTMLVideoElement | null = null;
  #open = false;
  #count = 0;
  /** Since when all was well, ms; Infinity where it is not. */
  #goodSince = Infinity;
  /** The last looks, the newest last, and when their frames were shown, ms. */
  #looks: readonly { readonly sight: LiveSight | null; readonly at: number }[] = [];
  /** What the last photo showed: the next takes itself only once the die was touched. */
  #last: LiveSight | null = null;
  #armed = true;
  /** The look that numbers were read in, and when. */
  #readIn: LiveSight | null = null;
  #readAt = -Infinity;

  constructor(
    die: () => LiveDie,
    wanted: () => { readonly lean: number; readonly sweep: boolean },
    ontake: (photo: File) => void,
  ) {
    this.#die = die;
    this.#wanted = wanted;
    this.#ontake = ontake;
  }

  get auto(): Auto {
    return this.#auto.current;
  }

  set auto(choice: Auto) {
    this.#auto.current = choice;
  }

  /** Opens a camera, the one at the back first, and looks until closed. */
  async open(video: HTMLVideoElement, device = ''): Promise<void> {
    this.#stop();
    this.#video = video;
    this.#open = true;
    this.fault = null;
    let stream: MediaStream;
    try {
      stream = await navigator.mediaDevices.getUserMedia({
        audio: false,
        video: {
          // As many pixels as the camera has.
          width: { ideal: 4096 },
          height: { ideal: 3072 },
          ...(device === '' ? { facingMode: { ideal: 'environment' } } : { deviceId: { exact: device } }),
        },
      });
    } catch (thrown) {
      this.fault = faultOf(thrown);
      return;
    }
    if (!this.#open || this.#video !== video) {
      stream.getTracks().forEach((track) => track.stop());
      return;
    }
    const [track] = stream.getVideoTracks();
    track!.addEventListener('ended', () => {
      if (this.stream === stream) this.fault = 'lost';
    });
    this.stream = stream;
    video.srcObject = stream;
    await video.play().catch(() => undefined);
    await this.#learn(track!);
    void this.#look(stream);
  }

  /** Closes the camera: its light goes out. */
  close(): void {
    this.#open = false;
    this.#stop();
    this.#looker.dispose();
  }

  async setTorch(on: boolean): Promise<void> {
    const [track] = this.stream?.getVideoTracks() ?? [];
    // The light is part of the image capture standard, which TypeScript does not know.
    const light = { advanced: [{ torch: on } as MediaTrackConstraintSet] };
    await track?.applyConstraints(light).then(
      () => (this.torch = on),
      () => (this.torch = null),
    );
  }

  /** Takes a photo as the camera sees now. @param more  Whether others follow at once. */
  async take(more = false): Promise<void> {
    if (this.taking || this.stream === null) return;
    this.taking = true;
    this.#goodSince = Infinity;
    this.#armed = false;
    const { stream } = this;
    const frame = await this.#frame();
    const photo = await this.#photo(stream, frame).catch(() => null);
    if (photo === null) this.fault = 'no-photo';
    else this.#give(photo);
    if (more) {
      this.taking = false;
      return;
    }
    // The look before is of a moment before: the die may have been turned since, and would be taken twice.
    const seen = frame === null ? null : await this.#looker.call((api) => api.look(frame, null));
    this.#last = seen?.ok === true ? seen.value : this.sight;
    this.taking = false;
  }

  /** Takes some photos one after another; each is worth what it is worth. */
  async #burst(): Promise<void> {
    for (let k = 0; k < BURST && this.stream !== null; k++) await this.take(k < BURST - 1);
  }

  #give(photo: Blob): void {
    this.fault = null;
    const type = photo.type === 'image/png' ? 'png' : 'jpg';
    const name = `camera-${String(++this.#count).padStart(2, '0')}-photo.${type}`;
    this.#ontake(new File([photo], name, { type: photo.type, lastModified: Date.now() }));
  }

  /** What this camera can do, and which others there are; their names are told only once one was allowed. */
  async #learn(track: MediaStreamTrack): Promise<void> {
    this.device = track.getSettings().deviceId ?? '';
    const able = 'getCapabilities' in track ? (track.getCapabilities() as { torch?: boolean }) : {};
    this.torch = able.torch === true ? false : null;
    const all = await navigator.mediaDevices.enumerateDevices().catch(() => []);
    this.devices = all
      .filter(({ kind }) => kind === 'videoinput')
      .map(({ deviceId, label }) => ({ id: deviceId, name: label }));
    const { width = 0 } = track.getSettings();
    this.stills = (await this.#largest(track))[0] > width;
  }

  async #largest(track: MediaStreamTrack): Promise<readonly [number, number]> {
    const Still = stillCapture();
    if (Still === undefined) return [0, 0];
    try {
      const { imageWidth, imageHeight } = await new Still(track).getPhotoCapabilities();
      return [imageWidth?.max ?? 0, imageHeight?.max ?? 0];
    } catch {
      return [0, 0];
    }
  }

  /** What the video shows now; null where it shows nothing. */
  async #frame(): Promise<ImageBitmap | null> {
    const video = this.#video;
    return video === null || video.videoWidth === 0 ? null : createImageBitmap(video).catch(() => null);
  }

  /** A still of the camera where it has more pixels than the video, else the frame. */
  async #photo(stream: MediaStream, frame: ImageBitmap | null): Promise<Blob | null> {
    const [track] = stream.getVideoTracks();
    const Still = stillCapture();
    if (track !== undefined && Still !== undefined && this.stills) {
      const [imageWidth, imageHeight] = await this.#largest(track);
      try {
        return await new Still(track).takePhoto({ imageWidth, imageHeight });
      } catch {
        // Some cameras promise stills and give none.
        this.stills = false;
      }
    }
    if (frame === null) return null;
    const canvas = document.createElement('canvas');
    canvas.width = frame.width;
    canvas.height = frame.height;
    canvas.getContext('2d')?.drawImage(frame, 0, 0);
    return new Promise((resolve) => canvas.toBlob(resolve, 'image/jpeg', QUALITY));
  }

  /** Looks at one frame after another as long as this stream is shown. */
  async #look(stream: MediaStream): Promise<void> {
    while (this.#open && this.stream === stream) {
      const begun = performance.now();
      if (!this.taking && document.visibilityState === 'visible') {
        const frame = await this.#frame();
        if (frame !== null) {
          const at = performance.now();
          const die = this.#toRead(at) ? this.#die() : null;
          const seen = await this.#looker.call((api) => api.look(frame, die));
          if (this.stream !== stream) return;
          if (!seen.ok) {
            if (seen.error.code !== 'cancelled') this.fault = 'looking';
            return;
          }
          // A tap came meanwhile: this look is of the moment before its photo.
          if (!this.taking) this.#judge(seen.value, at);
        }
      }
      const left = begun + EVERY - performance.now();
      await new Promise((resolve) => setTimeout(resolve, Math.max(PAUSE, left)));
    }
  }

  /** Whether the die's numbers are to be read in the next look: now and then, but not while a photo is about to take itself. */
  #toRead(now: number): boolean {
    const about = this.auto !== 'off' && this.#armed && this.advice === 'good';
    return this.sight?.things === 1 && now - this.#readAt > READ_PAUSE && !about;
  }

  /** The look that tells whether the card moved until one at `at`: the last that is old enough; none where there is none. */
  #stillSince(at: number): { readonly sight: LiveSight | null; readonly at: number } {
    const old = this.#looks.findLastIndex((look) => look.at <= at - 1000 * LIVE.stillOver);
    if (old < 0) return { sight: null, at };
    this.#looks = this.#looks.slice(old);
    return this.#looks[0]!;
  }

  #judge(sight: LiveSight | null, at: number): void {
    const { lean, sweep } = this.#wanted();
    const before = this.#stillSince(at);
    const advice = liveAdvice(sight, this.auto === 'any' ? null : lean, before.sight, (at - before.at) / 1000);
    const passed = sweep && this.auto === 'planned' && sweptThrough(sight, lean, this.sight);
    this.#looks = [...this.#looks, { sight, at }];
    this.sight = sight;
    this.advice = advice;
    this.#takeNumbers(sight);
    if (!this.#armed && touched(sight, this.#last)) this.#armed = true;
    // A hand cannot hold such an angle: photos are taken while it passes, several in a row.
    if (passed && this.#armed) return void this.#burst();
    if (sweep && this.auto === 'planned') return;
    this.#goodSince = advice === 'good' ? Math.min(this.#goodSince, at) : Infinity;
    if (this.auto !== 'off' && this.#armed && at - this.#goodSince >= GOOD_FOR) void this.take();
  }

  #takeNumbers(sight: LiveSight | null): void {
    if (sight?.numbers !== undefined) {
      this.numbers = sight.numbers;
      this.#readIn = sight;
      this.#readAt = performance.now();
    } else if (touched(sight, this.#readIn)) {
      // Another throw, or a hand: what was read is no more.
      this.numbers = null;
      if (this.#readIn !== null) this.#readAt = -Infinity;
      this.#readIn = null;
    }
  }

  #stop(): void {
    this.stream?.getTracks().forEach((track) => track.stop());
    this.stream = null;
    this.#looks = [];
    this.#goodSince = Infinity;
    this.sight = null;
    this.numbers = null;
    this.advice = null;
    if (this.#video !== null) this.#video.srcObject = null;
  }
}

function faultOf(thrown: unknown): CameraFault {
  const name = thrown instanceof Error ? thrown.name : '';
  if (name === 'NotAllowedError' || name === 'SecurityError') return 'denied';
  return name === 'NotFoundError' || name === 'OverconstrainedError' ? 'no-camera' : 'busy';
}
