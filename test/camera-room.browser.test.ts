import { afterEach, expect, test, vi } from 'vitest';
import { Camera, canUseCamera } from '../src/ui/photos/camera.svelte.ts';

/** A camera of the browser, of a canvas: what it is asked for, and what it can do beside its picture. */
function device(able: { torch?: boolean; still?: readonly [number, number] | 'broken' } = {}): {
  asked: MediaStreamConstraints[];
  set: MediaTrackConstraints[];
  taken: unknown[];
  track: MediaStreamTrack;
} {
  const canvas = document.createElement('canvas');
  canvas.width = 320;
  canvas.height = 240;
  canvas.getContext('2d')!.fillRect(0, 0, 320, 240);
  const stream = canvas.captureStream(10);
  const [track] = stream.getVideoTracks();
  const asked: MediaStreamConstraints[] = [];
  const set: MediaTrackConstraints[] = [];
  const taken: unknown[] = [];
  Object.assign(track!, {
    getCapabilities: () => (able.torch ? { torch: true } : {}),
    getSettings: () => ({ width: 320, height: 240, deviceId: 'one' }),
    applyConstraints: (constraints: MediaTrackConstraints) => {
      set.push(constraints);
      return Promise.resolve();
    },
  });
  vi.spyOn(navigator.mediaDevices, 'getUserMedia').mockImplementation((constraints) => {
    asked.push(constraints!);
    return Promise.resolve(stream);
  });
  vi.spyOn(navigator.mediaDevices, 'enumerateDevices').mockResolvedValue(
    ['one', 'two'].map(
      (deviceId) => ({ kind: 'videoinput', deviceId, label: `camera ${deviceId}` }) as MediaDeviceInfo,
    ),
  );
  class Still {
    getPhotoCapabilities(): Promise<unknown> {
      const [max, height] = able.still === 'broken' ? [4000, 3000] : (able.still ?? [320, 240]);
      return Promise.resolve({ imageWidth: { max }, imageHeight: { max: height } });
    }
    takePhoto(settings: unknown): Promise<Blob> {
      taken.push(settings);
      return able.still === 'broken'
        ? Promise.reject(new Error('no still'))
        : Promise.resolve(new Blob(['still'], { type: 'image/jpeg' }));
    }
  }
  vi.stubGlobal('ImageCapture', Still);
  return { asked, set, taken, track: track! };
}

const opened: Camera[] = [];
async function open(
  wanted: { lean: number; sweep: boolean } = { lean: 0.2, sweep: false },
): Promise<{ camera: Camera; photos: File[]; video: HTMLVideoElement }> {
  const photos: File[] = [];
  const camera = new Camera(
    () => ({ kind: 'd6', numbering: null }),
    () => wanted,
    (photo) => photos.push(photo),
  );
  opened.push(camera);
  const video = document.createElement('video');
  video.muted = true;
  document.body.append(video);
  await camera.open(video);
  return { camera, photos, video };
}

afterEach(() => {
  for (const camera of opened.splice(0)) camera.close();
  document.querySelectorAll('video').forEach((video) => video.remove());
  vi.restoreAllMocks();
  vi.unstubAllGlobals();
});

test('the camera at the back is asked for, with all its pixels, without sound; its light goes on and off', async () => {
  const { asked, set } = device({ torch: true });
  const { camera } = await open();
  expect(canUseCamera()).toBe(true);
  expect(asked).toEqual([
    { audio: false, video: { width: { ideal: 4096 }, height: { ideal: 3072 }, facingMode: { ideal: 'environment' } } },
  ]);
  expect([camera.torch, camera.device, camera.fault]).toEqual([false, 'one', null]);
  expect(camera.devices.map(({ name }) => name)).toEqual(['camera one', 'camera two']);
  await camera.setTorch(true);
  expect(camera.torch).toBe(true);
  expect(set).toEqual([{ advanced: [{ torch: true }] }]);
});

test('a camera without a light offers none; another camera can be chosen', async () => {
  const { asked } = device();
  const { camera, video } = await open();
  expect(camera.torch).toBeNull();
  await camera.open(video, 'two');
  expect(asked[1]!.video).toMatchObject({ deviceId: { exact: 'two' } });
});

test('a still of full resolution is taken where the camera has one', async () => {
  const { taken } = device({ still: [4000, 3000] });
  const { camera, photos } = await open();
  expect(camera.stills).toBe(true);
  await camera.take();
  expect(taken).toEqual([{ imageWidth: 4000, imageHeight: 3000 }]);
  expect([photos[0]!.name, photos[0]!.type]).toEqual(['camera-01-photo.jpg', 'image/jpeg']);
  expect(await photos[0]!.text()).toBe('still');
});

test('photos of a burst follow one another, and the last is looked at as any other', async () => {
  device();
  const { camera, photos, video } = await open({ lean: 0.3, sweep: true });
  await expect.poll(() => video.videoWidth).toBe(320);
  await camera.take(true);
  await camera.take(true);
  expect(camera.taking).toBe(false);
  await camera.take();
  expect(photos.map(({ name }) => name)).toEqual(['camera-01-photo.jpg', 'camera-02-photo.jpg', 'camera-03-photo.jpg']);
});

test.each(['broken', undefined] as const)('where stills are %s, the frame itself is kept', async (still) => {
  const { taken } = device(still === undefined ? {} : { still });
  const { camera, photos, video } = await open();
  await expect.poll(() => video.videoWidth).toBe(320);
  await camera.take();
  expect(taken.length).toBe(still === undefined ? 0 : 1);
  const frame = await createImageBitmap(photos[0]!);
  expect([frame.width, frame.height, photos[0]!.type]).toEqual([320, 240, 'image/jpeg']);
  expect(camera.fault).toBeNull();
  await camera.take();
  expect(photos[1]!.name).toBe('camera-02-photo.jpg');
  // A promise once broken is not tried again.
  expect(taken.length).toBe(still === undefined ? 0 : 1);
});

test.each([
  ['NotAllowedError', 'denied'],
  ['NotFoundError', 'no-camera'],
  ['OverconstrainedError', 'no-camera'],
  ['NotReadableError', 'busy'],
] as const)('%s is told as %s', async (name, fault) => {
  device();
  vi.spyOn(navigator.mediaDevices, 'getUserMedia').mockRejectedValue(new DOMException('no', name));
  const { camera } = await open();
  expect([camera.fault, camera.stream]).toEqual([fault, null]);
});

test('a camera taken away is told, a closed one lets go of its device', async () => {
  const { track } = device();
  const { camera, video } = await open();
  track.dispatchEvent(new Event('ended'));
  expect(camera.fault).toBe('lost');
  camera.close();
  expect([track.readyState, camera.stream, video.srcObject]).toEqual(['ended', null, null]);
});
