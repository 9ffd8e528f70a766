import * as Plot from '@observablehq/plot';
import { useEffect, useRef, useState } from 'react';

interface PlotFigureProps {
  /** What the plot shows, for readers that do not see it; the same figures stand in a table nearby. */
  readonly label: string;
  readonly height: number;
  /** Marks and scales. Must keep its identity while its data are the same. */
  readonly options: Plot.PlotOptions;
}

/** A statistic drawn with Observable Plot, as wide as its place and in the colours of the theme. */
export function PlotFigure({ label, height, options }: PlotFigureProps) {
  const container = useRef<HTMLDivElement>(null);
  const [width, setWidth] = useState(0);
  useEffect(() => {
    const element = container.current;
    if (element === null) return;
    const observer = new ResizeObserver(([entry]) => setWidth(Math.floor(entry?.contentRect.width ?? 0)));
    observer.observe(element);
    return () => observer.disconnect();
  }, []);
  useEffect(() => {
    if (width === 0) return;
    const figure = Plot.plot({
      ...options,
      width,
      height,
      style: {
        background: 'none',
        color: 'var(--plot-ink)',
        fontFamily: 'inherit',
        fontSize: '12px',
        overflow: 'visible',
      },
    });
    // The name stands on the frame; the parts of the drawing have nothing to add for a screen reader.
    figure.setAttribute('aria-hidden', 'true');
    container.current?.append(figure);
    return () => figure.remove();
  }, [options, width, height]);
  return <div ref={container} role="img" aria-label={label} style={{ height }} />;
}
