import { afterEach, expect, test, vi } from 'vitest';
import { BinCamera } from '../src/ui/bin/bin-camera.svelte.ts';
import { BinRoom } from '../src/ui/bin/bin-room.svelte.ts';
import photo from '../samples/d6/01-1.jpg?url';

afterEach(() => {
  vi.restoreAllMocks();
  document.querySelectorAll('video').forEach((video) => video.remove());
});

test('a camera over the card: the dice are judged once they lie still, by the worker that judges photos', async () => {
  const bitmap = await createImageBitmap(await (await fetch(photo)).blob());
  const canvas = document.createElement('canvas');
  [canvas.width, canvas.height] = [bitmap.width, bitmap.height];
  const context = canvas.getContext('2d')!;
  const stream = canvas.captureStream();
  const draw = setInterval(() => context.drawImage(bitmap, 0, 0), 100);
  vi.spyOn(navigator.mediaDevices, 'getUserMedia').mockResolvedValue(stream);
  const room = new BinRoom();
  [room.kind, room.size] = ['d6', '16'];
  let camera: BinCamera | null = null;
  const taken = await new Promise<File>((resolve) => {
    camera = new BinCamera((frame) => room.look(frame), resolve);
    const video = document.createElement('video');
    video.muted = true;
    document.body.append(video);
    void camera.open(video);
  });
  const seen = camera!.seen!;
  expect(camera!.advice).toBe('sees');
  expect(seen.dice).toHaveLength(1);
  expect(seen.dice[0]!.size!.value).toBeGreaterThan(12);
  camera!.close();
  clearInterval(draw);
  await room.take([taken]);
  expect(room.entries[0]!.judged!.dice).toHaveLength(1);
  expect(Math.abs(room.entries[0]!.judged!.dice[0]!.size!.value - seen.dice[0]!.size!.value)).toBeLessThan(0.2);
  room.clear();
});
