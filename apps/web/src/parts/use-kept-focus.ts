import { type RefCallback, useState } from 'react';

/** For a button that is made anew in its place: it has the focus if the one before it had it. */
export function useKeptFocus(): RefCallback<HTMLButtonElement> {
  const [keep] = useState(keptFocus);
  return keep;
}

function keptFocus(): RefCallback<HTMLButtonElement> {
  let hadFocus = false;
  return (button) => {
    if (button === null) return;
    if (hadFocus) button.focus();
    return () => {
      hadFocus = document.activeElement === button;
    };
  };
}
