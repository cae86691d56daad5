import type { ReadStream } from 'node:tty';
import { LodestubError } from '../base/error.js';
import type { LiveControl } from '../control/live-control.js';
import { Keyboard } from './keyboard.js';
import type { Screen } from './screen.js';

/** What keys do; none where nobody sits at a terminal. */
export function keyboardOf(screen: Screen, live: LiveControl): Keyboard | null {
  if (!process.stdin.isTTY || !process.stderr.isTTY) return null;
  const actions: Readonly<Record<string, () => void>> = {
    ' ': () => (live.isPaused ? live.resume() : live.pause()),
    '.': () => live.step(),
    '+': () => live.faster(),
    '-': () => live.slower(),
    v: () => screen.toggleView(),
    h: () => screen.help(),
    q: () => live.stop(),
  };
  return new Keyboard(process.stdin as ReadStream, {
    key: (character) => {
      const offer = live.offers.find(({ number }) => String(number) === character);
      try {
        if (offer !== undefined) live.toggle(offer.number);
        else if (Object.hasOwn(actions, character)) actions[character]?.();
      } catch (error) {
        if (!(error instanceof LodestubError)) throw error;
        screen.say(`${error.message}\n`);
      }
      screen.draw();
    },
    suspending: () => screen.rest(),
    resumed: () => screen.greet(),
  });
}
