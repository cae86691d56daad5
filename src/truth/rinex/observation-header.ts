import { ecefFromGeodetic } from '../../base/frames.js';
import type { Truth } from '../../sim/epoch.js';
import type { SignalKind } from '../../sim/signal/signal-kind.js';
import type { Satellite } from '../../sim/sky/orbit.js';
import { fixed, headerLine } from './format.js';

/** Observation types, and satellites with their frequency numbers, that a line holds (RINEX 3.04, table A2). */
const TYPES_A_LINE = 13;
const SLOTS_A_LINE = 8;

/** 3F14.4 */
export function approximatePosition({ latitudeDeg, longitudeDeg, heightEllipsoidM }: Truth): string {
  const { xM, yM, zM } = ecefFromGeodetic({ latitudeDeg, longitudeDeg, heightM: heightEllipsoidM });
  return fixed(xM, 14, 4) + fixed(yM, 14, 4) + fixed(zM, 14, 4);
}

/** Code range, phase, Doppler and strength of each signal of a system: A1,2X,I3,13(1X,A3), then 6X,13(1X,A3). */
export function observationTypeLines(letter: string, kinds: readonly SignalKind[]): string {
  const types = kinds.flatMap(({ rinex }) => [`C${rinex}`, `L${rinex}`, `D${rinex}`, `S${rinex}`]);
  let lines = '';
  for (let from = 0; from < types.length; from += TYPES_A_LINE) {
    const head = from === 0 ? `${letter}  ${String(types.length).padStart(3)}` : ' '.repeat(6);
    const listed = types.slice(from, from + TYPES_A_LINE).map((type) => ` ${type}`);
    lines += headerLine(head + listed.join(''), 'SYS / # / OBS TYPES');
  }
  return lines;
}

/** The simulated carriers of a satellite are in phase with each other, so that nothing had to be shifted. */
export function phaseShiftLines(letter: string, kinds: readonly SignalKind[]): string {
  return kinds.map(({ rinex }) => headerLine(`${letter} L${rinex}  0.00000`, 'SYS / PHASE SHIFT')).join('');
}

/** Frequency numbers, I3,8(1X,A3,1X,I2), and that code and phase of GLONASS agree; nothing without satellites. */
export function glonassLines(satellites: readonly Pick<Satellite, 'id' | 'frequencyNumber'>[]): string {
  if (satellites.length === 0) return '';
  let lines = '';
  for (let from = 0; from < satellites.length; from += SLOTS_A_LINE) {
    const head = from === 0 ? String(satellites.length).padStart(3) : '   ';
    const slots = satellites
      .slice(from, from + SLOTS_A_LINE)
      .map(({ id, frequencyNumber }) => ` ${id} ${String(frequencyNumber).padStart(2)}`);
    lines += headerLine(head + slots.join(''), 'GLONASS SLOT / FRQ #');
  }
  const biases = ['C1C', 'C1P', 'C2C', 'C2P'].map((code) => ` ${code}${fixed(0, 9, 3)}`).join('');
  return lines + headerLine(biases, 'GLONASS COD/PHS/BIS');
}
