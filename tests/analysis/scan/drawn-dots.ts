import type { Gray } from './drawn-page.ts';

/** A dot that is put on a drawn page. */
export interface DrawnDot {
  /** Middle on the sheet [mm]. */
  readonly x: number;
  readonly y: number;
  /** Diameters across and down [mm]. */
  readonly across: number;
  readonly down: number;
  /** Share of the light that it takes in its middle [-]. */
  readonly darkness: number;
  /**
   * `opaque` hides the print; `clear` lets it through and is as dark at its edge as in its middle; `rim` is a line around a clear inside, 0.2 mm
   * wide; `cap` lets light through by its thickness, that of a flat cap, which comes to nothing at its edge.
   */
  readonly kind: 'opaque' | 'clear' | 'rim' | 'cap';
}

/** The page with dots on it, their edges smooth over a pixel of the page. */
export function withDots(page: Gray, dpi: number, dots: readonly DrawnDot[]): Gray {
  const gray = page.gray.slice();
  const perMm = dpi / 25.4;
  for (const dot of dots) {
    const [rx, ry] = [(dot.across / 2) * perMm, (dot.down / 2) * perMm];
    const [cx, cy] = [dot.x * perMm, dot.y * perMm];
    for (let y = Math.floor(cy - ry - 2); y <= cy + ry + 2; y++) {
      for (let x = Math.floor(cx - rx - 2); x <= cx + rx + 2; x++) {
        const [dx, dy] = [(x + 0.5 - cx) / rx, (y + 0.5 - cy) / ry];
        const out = Math.hypot(dx, dy);
        const cover = Math.min(1, Math.max(0, (1 - out) * Math.min(rx, ry) + 0.5));
        if (cover === 0) continue;
        const at = y * page.width + x;
        const before = gray[at]!;
        const after = under(before, dot, out, Math.min(rx, ry) / perMm);
        gray[at] = Math.round(before + (after - before) * cover);
      }
    }
  }
  return { ...page, gray };
}

function under(paper: number, { kind, darkness }: DrawnDot, out: number, radius: number): number {
  if (kind === 'opaque') return 255 * (1 - darkness);
  if (kind === 'clear') return paper * (1 - darkness);
  if (kind === 'rim') return paper * (out * radius > radius - 0.2 ? 1 - darkness : 0.97);
  const thickness = Math.max(0, 1 - out * out);
  return paper * (1 - darkness) ** thickness;
}
