import type { ComponentChildren, JSX } from 'preact';

/** Every drawing is as wide in its own units; the page scales it. */
export const WIDTH_PX = 480;

/**
 * Who speaks in a drawing. Each has its colour in the style sheet (after M. Okabe and K. Ito, "Color Universal Design",
 * 2002), and lines differ by their dashes and points by their shape too.
 */
export type Tone = 'truth' | 'module' | 'host' | 'fourth' | 'fifth' | 'sixth';

/** A row of a legend. */
export interface LegendEntry {
  readonly label: string;
  readonly tone: Tone | 'fault' | 'limit' | 'moment';
  readonly as: 'line' | 'points' | 'dots' | 'band';
}

/** A box in a drawing, in its units. */
export interface Area {
  readonly left: number;
  readonly top: number;
  readonly right: number;
  readonly bottom: number;
}

/** Rounded to a tenth of a unit, which nobody sees and which saves half of the text. */
export function px(value: number): number {
  return Math.round(value * 10) / 10;
}

/** A figure with its caption, legend, drawing and note; the description tells it to those who do not see it. */
export function Drawing(props: {
  readonly title: string;
  readonly description: string;
  readonly heightPx: number;
  readonly legend?: readonly LegendEntry[];
  readonly note?: string | null;
  readonly children: ComponentChildren;
}): JSX.Element {
  const { title, description, heightPx, legend = [], note = null, children } = props;
  return (
    <figure class="drawing">
      <figcaption>{title}</figcaption>
      {legend.length > 0 && (
        <ul class="legend">
          {legend.map((entry) => (
            <li>
              <Swatch {...entry} />
              {entry.label}
            </li>
          ))}
        </ul>
      )}
      <svg viewBox={`0 0 ${WIDTH_PX} ${heightPx}`} role="img">
        <title>{title}</title>
        <desc>{description}</desc>
        {children}
      </svg>
      {note !== null && <p class="note">{note}</p>}
    </figure>
  );
}

function Swatch({ tone, as }: LegendEntry): JSX.Element {
  return (
    <svg viewBox="0 0 24 12" class="swatch" aria-hidden="true">
      {as === 'line' && <path class={`line ${tone}`} d="M1 6H23" />}
      {as === 'band' && <rect class={`band ${tone}`} x="1" y="1" width="22" height="10" />}
      {as === 'dots' && <path class={`dots ${tone}`} d={dotsPath([{ x: 12, y: 6 }])} />}
      {as === 'points' && <path class={`point ${tone}`} d={pointPath(tone, 12, 6, 4)} />}
    </svg>
  );
}

/** A path; nothing where it is empty. */
export function Path(props: { readonly class: string; readonly d: string }): JSX.Element | null {
  return props.d === '' ? null : <path class={props.class} d={props.d} />;
}

/** A point's outline, by who speaks: circle, square, triangle, diamond, cross. */
export function pointPath(tone: Tone | 'fault' | 'limit' | 'moment', x: number, y: number, r: number): string {
  const [left, right, top, bottom] = [px(x - r), px(x + r), px(y - r), px(y + r)];
  if (tone === 'moment') return `M${left} ${top}L${right} ${bottom}M${right} ${top}L${left} ${bottom}`;
  if (tone === 'host' || tone === 'fifth')
    return `M${px(x)} ${top}L${right} ${px(y)}L${px(x)} ${bottom}L${left} ${px(y)}Z`;
  if (tone === 'fourth') return `M${px(x)} ${top}L${right} ${bottom}H${left}Z`;
  if (tone === 'sixth') return `M${left} ${top}H${right}V${bottom}H${left}Z`;
  return `M${left} ${px(y)}a${px(r)} ${px(r)} 0 1 0 ${px(2 * r)} 0a${px(r)} ${px(r)} 0 1 0 ${px(-2 * r)} 0Z`;
}

/** Many small round points in one path: lines of no length with round ends, a quarter of the text of outlines. */
export function dotsPath(dots: readonly { readonly x: number; readonly y: number }[]): string {
  return dots.map(({ x, y }) => `M${px(x)} ${px(y)}h0`).join('');
}
