import { type ReactNode, useState } from 'react';

interface FoldedProps {
  readonly summary: string;
  /** Made when it is first unfolded: most readers never do. */
  readonly children: () => ReactNode;
}

/** What stands behind a press, for who wants it. */
export function Folded({ summary, children }: FoldedProps) {
  const [isOpened, setOpened] = useState(false);
  return (
    <details onToggle={({ currentTarget }) => currentTarget.open && setOpened(true)}>
      <summary>{summary}</summary>
      {isOpened && children()}
    </details>
  );
}
