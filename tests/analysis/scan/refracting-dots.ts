import { integrateProfile, profileGrid } from '../../../src/physics/drop/drop-profile.ts';
import type { Gray } from './drawn-page.ts';

/** A clear or tinted dot that shows the print under it, displaced as its surface bends the light. */
export interface RefractingDot {
  /** Middle on the sheet, and diameter [mm]. */
  readonly x: number;
  readonly y: number;
  readonly diameter: number;
  readonly contactAngle: number; // [rad]
  /** Light lost on a millimetre of resin [1/mm]. */
  readonly absorption: number;
  /** Of a slide of the same index between print and dot [mm]; 0 for a dot on the paper itself. */
  readonly slide: number;
}

/** Epoxy resins have 1.50 to 1.57, and glass 1.52: from memory. */
const INDEX = 1.5;
/** √(γ/(ρg)) of 40 mN/m and 1150 kg/m³ [mm]. */
const CAPILLARY = 1.883;
/**
 * Share of its light that white paper (albedo 0.9) loses in touch with a liquid of that index: light that leaves it flat is reflected back
 * at the surface and meets the paper again. Source: Lekner & Dorf, Why some things are darker when wet, Applied Optics 27 (1988) 1278:
 * 1 − A = (1 − R)(1 − a)/(1 − p·a), with R 0.09 and p 0.60 for index 1.5, from memory.
 */
const WET = 1 - (1 - (0.91 * 0.1) / (1 - 0.6 * 0.9)) / 0.9;
/** What the surface mirrors is as bright as this share of the paper. */
const ROOM = 0.3;

/** Radius [mm], height [mm] and slope [rad] of the surface, from the axis to the rim, by Young and Laplace. */
function surfaceOf({ diameter, contactAngle }: RefractingDot): { r: number; h: number; slope: number }[] {
  const radius = diameter / 2 / CAPILLARY;
  const whole = profileGrid(contactAngle);
  let [low, high] = [1e-9, radius];
  for (let i = 0; i < 80; i++) {
    const start = Math.sqrt(low * high);
    if (integrateProfile(whole, start).contactRadius < radius) low = start;
    else high = start;
  }
  const { height } = integrateProfile(whole, low);
  const points = Array.from({ length: 200 }, (_, k) => {
    const slope = (contactAngle * (k + 1)) / 200;
    const { contactRadius, height: below } = integrateProfile(profileGrid(slope), low);
    return { r: contactRadius * CAPILLARY, h: (height - below) * CAPILLARY, slope };
  });
  return [{ r: 0, h: height * CAPILLARY, slope: 0 }, ...points];
}

/**
 * What a camera far above sees at a distance from the axis: from where on the print, and how much of its light.
 * Source: law of refraction and Fresnel's formulae for light without polarisation, Born & Wolf, Principles of Optics, 7th ed., 1.5.1 and 1.5.2.
 */
function seenThrough({ slide, absorption }: RefractingDot, { r, h, slope }: { r: number; h: number; slope: number }) {
  const inside = Math.asin(Math.sin(slope) / INDEX);
  const aside = slope - inside; // from the vertical
  const [c, d] = [Math.cos(slope), Math.cos(inside)];
  const reflected = (((c - INDEX * d) / (c + INDEX * d)) ** 2 + ((d - INDEX * c) / (d + INDEX * c)) ** 2) / 2;
  const lost = Math.exp((-2 * absorption * h) / Math.cos(aside)); // on the way in and out
  return {
    from: r - (h + slide) * Math.tan(aside),
    share: (1 - reflected) * lost * (slide > 0 ? 1 : 1 - WET),
    mirrored: reflected * ROOM,
  };
}

/** The page with dots on it, their rims smooth over a pixel. */
export function withRefractingDots(page: Gray, dpi: number, dots: readonly RefractingDot[]): Gray {
  const gray = page.gray.slice();
  const perMm = dpi / 25.4;
  for (const dot of dots) {
    const surface = surfaceOf(dot);
    const seen = surface.map(p => ({ r: p.r, ...seenThrough(dot, p) }));
    const [cx, cy, radius] = [dot.x * perMm, dot.y * perMm, (dot.diameter / 2) * perMm];
    for (let y = Math.floor(cy - radius - 1); y <= cy + radius + 1; y++) {
      for (let x = Math.floor(cx - radius - 1); x <= cx + radius + 1; x++) {
        const [dx, dy] = [x + 0.5 - cx, y + 0.5 - cy];
        const out = Math.hypot(dx, dy);
        const cover = Math.min(1, Math.max(0, radius - out + 0.5));
        if (cover === 0) continue;
        const { from, share, mirrored } = at(seen, Math.min(out, radius) / perMm);
        const k = out === 0 ? 0 : (from * perMm) / out;
        const through = brightness(page, cx + dx * k, cy + dy * k) * share + 255 * mirrored;
        const before = page.gray[y * page.width + x]!;
        gray[y * page.width + x] = Math.round(before + (Math.min(255, through) - before) * cover);
      }
    }
  }
  return { ...page, gray };
}

interface Seen {
  readonly r: number;
  readonly from: number;
  readonly share: number;
  readonly mirrored: number;
}

function at(seen: readonly Seen[], r: number): Seen {
  const i = Math.max(
    1,
    seen.findIndex(p => p.r >= r),
  );
  const [a, b] = [seen[i - 1]!, seen[i]!];
  const f = Math.min(1, (r - a.r) / (b.r - a.r));
  const between = (of: (s: Seen) => number) => of(a) + (of(b) - of(a)) * f;
  return { r, from: between(s => s.from), share: between(s => s.share), mirrored: between(s => s.mirrored) };
}

function brightness({ width, gray }: Gray, x: number, y: number): number {
  const [left, top] = [Math.floor(x - 0.5), Math.floor(y - 0.5)];
  const [fx, fy] = [x - 0.5 - left, y - 0.5 - top];
  const i = top * width + left;
  const above = gray[i]! * (1 - fx) + gray[i + 1]! * fx;
  return above * (1 - fy) + (gray[i + width]! * (1 - fx) + gray[i + width + 1]! * fx) * fy;
}
