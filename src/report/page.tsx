import type { ComponentChildren } from 'preact';
import { renderToStaticMarkup } from 'preact-render-to-string';
import { VERSION } from '../base/version.js';
import { visible } from '../base/visible.js';
import { STYLE } from './style.js';

/**
 * A whole HTML document in one string: no script, nothing fetched, readable from a file as it is. What a program under
 * test wrote cannot become markup, and what cannot be seen is written out.
 * @param caution stands at the top, and again at the top of a print
 */
export function page(props: {
  readonly title: string;
  readonly caution: string;
  readonly children: ComponentChildren;
}): string {
  const { title, caution, children } = props;
  const html = renderToStaticMarkup(
    <html lang="en">
      <head>
        <meta charset="utf-8" />
        <meta name="generator" content={`lodestub ${VERSION}`} />
        <meta name="viewport" content="width=device-width, initial-scale=1" />
        <meta name="color-scheme" content="light dark" />
        <meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'" />
        <title>{title}</title>
        <style>{STYLE}</style>
      </head>
      <body>
        <aside class="caution" aria-label="Caution">
          {caution}
        </aside>
        <main>{children}</main>
      </body>
    </html>,
  );
  return `<!doctype html>\n${visible(html)}\n`;
}
