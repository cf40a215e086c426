import { cavityFinding } from '../../diagnostics/codes/cavity-codes.ts';
import type { Finding } from '../../diagnostics/finding.ts';
import { inWords } from '../../diagnostics/number-words.ts';
import { TOUCHING } from '../../physics/cavity/cavity.ts';
import { interferences } from '../../physics/cavity/gap.ts';
import type { Connector, Quantity } from '../../recipe/schema/recipe.ts';
import type { CavityBook } from './cavity-book.ts';

/** What there is to say about a connector's book: whether cable and needle fit, the bead stays on the face, and so on. */
export function cavityBookFindings(book: CavityBook, hasNeedle: boolean): Finding[] {
  return [
    ...interferenceFindings(book),
    ...seatFindings(book),
    ...reachFindings(book),
    ...backfillFindings(book),
    ...beadFindings(book),
    ...missingFindings(book.connector, hasNeedle),
  ];
}

function interferenceFindings(book: CavityBook): Finding[] {
  if (book.gap === null) return [];
  return interferences(book.gap).map(hit => {
    const cable = book.connector.cable?.[hit.cableIndex];
    const outer = book.connector.cavity?.[hit.cavityIndex];
    const span = `from ${inWords(hit.from, 'mm')} to ${inWords(hit.to, 'mm')} behind the end face`;
    const worst = `by ${inWords(hit.amount, 'µm')} at ${inWords(hit.place, 'mm')}`;
    const message = `${cable?.part ?? 'the cable'} is thicker than ${outer?.part ?? 'the cavity'} ${span}, at most ${worst}`;
    return cavityFinding('cable-interference', cable?.front.path ?? 'connector.cable', message);
  });
}

function seatFindings({ fit, outside, connector }: CavityBook): Finding[] {
  if (fit === null || outside === null || fit.kind === 'seated') return [];
  const needle = `the needle is ${inWords(outside.value, 'mm')} outside`;
  if (fit.kind === 'does-not-enter') {
    const rear = connector.cavity?.at(-1);
    const row = rear?.count === undefined ? '' : `${rear.count} passages side by side, each `;
    const message = `${needle}, the rear of the cavity is ${row}${inWords(fit.rear, 'mm')}: it does not enter`;
    return [cavityFinding('needle-does-not-enter', needlePath(outside), message)];
  }
  const narrowest = `no place of the cavity is narrower (the narrowest is ${inWords(fit.narrowest, 'mm')})`;
  const bore = connector.cavity?.[0]?.part ?? 'bore';
  return [
    cavityFinding('needle-thinner-than-bore', needlePath(outside), `${needle}; ${narrowest}: it passes the ${bore}`),
  ];
}

/** A diameter from the table stands at the gauge in the file. */
function needlePath(outside: Quantity): string {
  return outside.source.startsWith('needle-table:') ? 'needle.gauge' : outside.path;
}

function reachFindings({ connector, cavity, cable }: CavityBook): Finding[] {
  const reach = connector.reach;
  if (reach === undefined) return [];
  const findings: Finding[] = [];
  const beyond = [reach.min, reach.aim, reach.max].filter(q => q !== undefined && exceeds(q.value, cavity.to));
  for (const q of beyond as Quantity[]) {
    const message = `the reach is ${inWords(q.value, 'mm')}, the cavity ends at ${inWords(cavity.to, 'mm')}`;
    findings.push(cavityFinding('reach-beyond-cavity', q.path, message));
  }
  const window = `${inWords(reach.min.value, 'mm')} to ${inWords(reach.max.value, 'mm')}`;
  if (
    reach.aim !== undefined &&
    (exceeds(reach.aim.value, reach.max.value) || exceeds(reach.min.value, reach.aim.value))
  ) {
    const message = `the aim is ${inWords(reach.aim.value, 'mm')}, the reach window is ${window}`;
    findings.push(cavityFinding('aim-outside-reach', reach.aim.path, message));
  }
  const needed = Math.min(reach.max.value, cavity.to);
  if (cable !== null && exceeds(needed, cable.to)) {
    const message = `the cable ends ${inWords(cable.to, 'mm')} behind the end face, the reach goes to ${inWords(reach.max.value, 'mm')}`;
    findings.push(cavityFinding('cable-shorter-than-reach', 'connector.cable', message));
  }
  return findings;
}

function backfillFindings({ connector, balance, backfill, reach }: CavityBook): Finding[] {
  if (connector.reach === undefined || balance === null || backfill.min === null || backfill.min > 0) return [];
  const free = balance.wanted(reach.min as number);
  const numbers = `${inWords(free, 'µL')} is free from the rear of the bore to ${inWords(reach.min as number, 'mm')}, and the bore shot leaves ${inWords(balance.left, 'µL')} there`;
  return [cavityFinding('backfill-not-positive', connector.reach.min.path, `nothing is left to backfill: ${numbers}`)];
}

function beadFindings({ connector, beads, wantedBead, finalBeadDiameter, finalBead, cavity }: CavityBook): Finding[] {
  if (connector.bead === undefined || wantedBead === null) return [];
  const findings: Finding[] = [];
  const hole = cavity.pieces[0]?.front ?? 0;
  if (exceeds(hole, wantedBead.diameter)) {
    const message = `the wanted bead is ${inWords(wantedBead.diameter, 'mm')} wide, the bore ${inWords(hole, 'mm')}`;
    findings.push(cavityFinding('bead-smaller-than-bore', connector.bead.diameter.path, message));
  }
  const pitch = connector.cavity?.[0]?.pitch;
  const wide = finalBeadDiameter ?? wantedBead.diameter;
  if (beads > 1 && pitch !== undefined && exceeds(wide, pitch.value)) {
    const which = finalBeadDiameter === null ? 'the wanted bead' : 'the final bead';
    const message = `${which} is ${inWords(wide, 'mm')} wide, the bores stand ${inWords(pitch.value, 'mm')} apart`;
    findings.push(cavityFinding('beads-meet', connector.bead.diameter.path, message));
  }
  const face = connector.face;
  const row = (beads - 1) * (pitch?.value ?? 0);
  if (face !== undefined && finalBeadDiameter !== null && exceeds(row + finalBeadDiameter, face.value)) {
    const bead = `the final bead of ${inWords(finalBead as number, 'µL')} is ${inWords(finalBeadDiameter, 'mm')} wide`;
    const all = row === 0 ? bead : `${bead}, the row of ${beads} is ${inWords(row + finalBeadDiameter, 'mm')} long`;
    const message = `${all}, the end face ${inWords(face.value, 'mm')}`;
    findings.push(cavityFinding('bead-over-face', connector.bead.diameter.path, message));
  }
  return findings;
}

function missingFindings(connector: Connector, hasNeedle: boolean): Finding[] {
  const gaps: [boolean, string, string][] = [
    [!hasNeedle, 'needle', 'seat, bore shot and backfill'],
    [connector.cable === undefined, 'connector.cable', 'free volume, final bead and backfill'],
    [connector.bead === undefined, 'connector.bead', 'bore shot and final bead'],
    [connector.reach === undefined, 'connector.reach', 'the backfill window'],
  ];
  return gaps
    .filter(([missing]) => missing)
    .map(([, path, what]) => cavityFinding('cavity-incomplete', path, `without \`${path}\` there is no ${what}`));
}

function exceeds(a: number, b: number): boolean {
  return a > b * (1 + TOUCHING);
}
