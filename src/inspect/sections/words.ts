import { number } from '../../base/words.js';

/** `12.5 %`; what is not zero is not shown as zero, what is not all is not shown as all. */
export function percent(share: number): string {
  const value = share * 100;
  if (value > 0 && value < 0.1) return 'under 0.1 %';
  if (value > 99.9 && value < 100) return 'over 99.9 %';
  return `${Number(value.toFixed(1))} %`;
}

/** A duration: `0.2 s`, `90 s`, `12 min 5 s`, `3 h 20 min`. */
export function lasting(durationS: number): string {
  if (durationS < 120) return `${number(durationS, durationS < 10 ? 2 : 0)} s`;
  const whole = Math.round(durationS);
  if (whole < 7200) return whole % 60 === 0 ? `${whole / 60} min` : `${Math.floor(whole / 60)} min ${whole % 60} s`;
  const minutes = Math.round(whole / 60);
  return minutes % 60 === 0 ? `${minutes / 60} h` : `${Math.floor(minutes / 60)} h ${minutes % 60} min`;
}
