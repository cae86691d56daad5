import type { RandomStreams } from '../../../base/random.js';
import type { Surroundings } from '../../surroundings.js';
import { Forest } from './forest.js';
import { HorizonProfile } from './horizon.js';
import { Indoors } from './indoors.js';
import type { Obstruction } from './obstruction.js';
import { OpenSky } from './open.js';
import { StreetCanyon } from './street-canyon.js';
import { Tunnel } from './tunnel.js';

/** What surroundings do to signals. */
export function obstructionOf(surroundings: Surroundings, streams: RandomStreams): Obstruction {
  switch (surroundings.kind) {
    case 'open':
      return new OpenSky();
    case 'tunnel':
      return new Tunnel();
    case 'horizon':
      return new HorizonProfile(surroundings.points);
    case 'street-canyon':
      return new StreetCanyon(surroundings);
    case 'forest':
      return new Forest(surroundings.canopyM, surroundings.lossDbPerM);
    case 'indoors':
      return new Indoors(surroundings.roofDb, surroundings.wallDb, streams.stream('indoors'));
  }
}
