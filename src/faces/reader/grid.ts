/** Side of the square grid that every face is brought to, px. */
export const GRID = 64;
/** Half the grid's width in face radii. The radius of a face is that of the circle inside it (for a kite: of a like area). */
export const GRID_REACH = 1.15;
