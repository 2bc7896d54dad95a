/** Wolf's two dice, 20 000 throws each, faces 1 to 6 (by way of Jaynes 1978). */
export const WOLF = {
  white: [3246, 3449, 2897, 2841, 3635, 3932],
  red: [3407, 3631, 3176, 2916, 3448, 3422],
} as const;

/** Weldon: 26 306 throws of 12 dice, times that 0 to 12 of them showed a 5 or 6 (Pearson, Phil. Mag. 50, 1900, 157; from memory). */
export const WELDON = [185, 1149, 3265, 5475, 6114, 5194, 3067, 1331, 403, 105, 14, 4, 0] as const;
