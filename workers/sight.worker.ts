import { expose } from 'comlink';
import { liveSight } from '../src/live/sight.ts';
import { SIGHT_PROTOCOL, type SightApi } from './sight-protocol.ts';

let canvas: OffscreenCanvas | undefined;

const api: SightApi = {
  protocol: SIGHT_PROTOCOL,
  look(frame, die) {
    const { width, height } = frame;
    if (canvas?.width !== width || canvas.height !== height) canvas = new OffscreenCanvas(width, height);
    const context = canvas.getContext('2d', { willReadFrequently: true });
    if (context === null) throw new Error(`no canvas of ${width} x ${height} px`);
    context.drawImage(frame, 0, 0);
    frame.close();
    const { data } = context.getImageData(0, 0, width, height);
    return Promise.resolve(liveSight({ width, height, channels: 4, data }, die));
  },
};

// A message that cannot be read would leave its sender waiting: let it end this worker instead.
addEventListener('messageerror', () => {
  throw new Error('a message to the worker could not be read');
});
expose(api);
