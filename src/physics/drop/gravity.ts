/** Standard acceleration of gravity [m/s²]; exact by definition (3rd CGPM, 1901). */
export const STANDARD_GRAVITY = 9.80665;
