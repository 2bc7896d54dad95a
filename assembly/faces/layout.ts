/**
 * Where everything lies in the module's memory, in bytes. What has a fixed place is written here; behind it, from {@link ROOM} on, the caller
 * lays out what has no fixed size.
 */

/** What a function is told in numbers, by its own order. */
export const PARAMETERS: usize = 1024;
/** Where the samples of a pixel lie in it: a pair across, a pair down, and so on. */
export const OFFSETS: usize = PARAMETERS + 512;
/** Light of each value of a channel. */
export const LIGHT: usize = OFFSETS + 512;

export const ROOM: usize = LIGHT + 2048;
