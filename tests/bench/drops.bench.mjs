import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { medianTimes, rateRow, root } from './measure.mjs';

export const title = 'Drops';

const COUNT = 2000;
const liquid = { contactAngle: (32 * Math.PI) / 180, surfaceTension: 0.042, density: 1150 };

export async function rows() {
  const { dropFromVolume } = await import(pathToFileURL(join(root, 'dist', 'index.js')).href);
  const ours = () => {
    for (let i = 0; i < COUNT; i += 1) dropFromVolume({ ...liquid, volume: (1 + (i % 100) / 10) * 1e-9 });
  };
  const floor = () => {
    for (let i = 0; i < COUNT; i += 1) plainProfile(1 / (1e-3 * (1 + (i % 100) / 100)));
  };
  const [time, floorTime] = await medianTimes([ours, floor], 5);
  const rate = ms => (COUNT * 1000) / ms;
  return [rateRow('volume to drop', rate(time), rate(floorTime), 'one profile by 200 Runge–Kutta steps', 'drops/s')];
}

/** One profile at a known apex curvature [1/m]: what a single trial of a shooting method costs at the least. */
function plainProfile(curvature) {
  const density = (liquid.density * 9.80665) / liquid.surfaceTension;
  const slope = (x, z, phi) => 2 * curvature + density * z - (x === 0 ? curvature : Math.sin(phi) / x);
  let [x, z, phi, volume] = [0, 0, 0, 0];
  const step = liquid.contactAngle / curvature / 200;
  for (let i = 0; i < 200; i += 1) {
    const k1 = slope(x, z, phi);
    const p2 = phi + (step * k1) / 2;
    const k2 = slope(x + (step * Math.cos(phi)) / 2, z + (step * Math.sin(phi)) / 2, p2);
    const p3 = phi + (step * k2) / 2;
    const k3 = slope(x + (step * Math.cos(p2)) / 2, z + (step * Math.sin(p2)) / 2, p3);
    const p4 = phi + step * k3;
    const k4 = slope(x + step * Math.cos(p3), z + step * Math.sin(p3), p4);
    x += (step * (Math.cos(phi) + 2 * Math.cos(p2) + 2 * Math.cos(p3) + Math.cos(p4))) / 6;
    z += (step * (Math.sin(phi) + 2 * Math.sin(p2) + 2 * Math.sin(p3) + Math.sin(p4))) / 6;
    volume += Math.PI * x * x * Math.sin(phi) * step;
    phi += (step * (k1 + 2 * k2 + 2 * k3 + k4)) / 6;
  }
  return volume;
}
