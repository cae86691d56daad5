import type { Satellite } from '../../../src/sim/sky/orbit.js';
import { SatelliteView } from '../../../src/sim/sky/sky.js';
import { systemOf } from '../../../src/sim/sky/system.js';

const DEG = Math.PI / 180;

/** A satellite of which only the name and the kind of orbit count. */
export function satelliteOf(id: string): Satellite {
  return {
    id,
    system: systemOf(id),
    number: Number(id.slice(1)),
    orbitClass: 'meo',
    frequencyNumber: 0,
    orbit: { stateAt: () => undefined },
    broadcast: {} as Satellite['broadcast'],
    statusAt: () => 'healthy',
    travelS: 0.07,
  };
}

/** A satellite that stands still in the sky. */
export function viewAt(azimuthDeg: number, elevationDeg: number, id = 'G01', index = 0): SatelliteView {
  const view = new SatelliteView(satelliteOf(id), index);
  view.azimuthDeg = azimuthDeg;
  view.elevationDeg = elevationDeg;
  view.sinElevation = Math.sin(elevationDeg * DEG);
  view.rangeM = 2.2e7;
  return view;
}
