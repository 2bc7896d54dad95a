import { endTyping } from './paused-typing.ts';

/** Where the page is: `#/shape?axis=1-6` is room "shape" with what it shall show. */
export interface Place {
  readonly room: string;
  readonly query: URLSearchParams;
}

const placeOf = (hash: string): Place => {
  const [path = '', query = ''] = hash.replace(/^#\/?/, '').split('?', 2);
  return { room: path, query: new URLSearchParams(query) };
};

/** Address of a room, for links: `<a href={addressOf('shape')}>`. */
export const addressOf = (room: string, query: Readonly<Record<string, string>> = {}): string => {
  const text = new URLSearchParams(query).toString();
  return `#/${room}${text === '' ? '' : `?${text}`}`;
};

class Route {
  place = $state.raw<Place>(placeOf(location.hash));

  constructor() {
    addEventListener('hashchange', () => {
      // Before the room, and the field in it, are gone.
      endTyping();
      this.place = placeOf(location.hash);
    });
  }

  /** Goes to a room, as a link would: the back button leads back. */
  go(room: string, query: Readonly<Record<string, string>> = {}): void {
    location.hash = addressOf(room, query);
  }

  /** Writes what the room shows into its address, so that a bookmark brings it back; no step for the back button. */
  note(query: Readonly<Record<string, string>>): void {
    const address = addressOf(this.place.room, query);
    if (address === location.hash) return;
    history.replaceState(history.state, '', address);
    this.place = placeOf(address);
  }
}

export const route = new Route();
