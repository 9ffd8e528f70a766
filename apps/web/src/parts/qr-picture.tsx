import { encode } from 'uqr';
import classes from './qr-picture.module.css';

interface QrPictureProps {
  readonly text: string;
  /** What it is for; read out in place of the picture. */
  readonly label: string;
}

/** Modules of clear space around the picture; ISO/IEC 18004 asks for four. */
const QUIET_ZONE = 4;

/** A QR picture, dark on light in both themes: many cameras read no other. */
export function QrPicture({ text, label }: QrPictureProps) {
  const { data, size } = encode(text, { ecc: 'M', border: QUIET_ZONE });
  const path = data.flatMap((row, y) => row.flatMap((isDark, x) => (isDark ? [`M${x} ${y}h1v1h-1z`] : []))).join('');
  return (
    <svg className={classes.picture} viewBox={`0 0 ${size} ${size}`} role="img" aria-label={label}>
      <path d={path} />
    </svg>
  );
}
