import { Link } from '@tanstack/react-router';
import classes from './app-frame.module.css';

/** Mark and name: the input shaft leaving and regaining the synchronous line. */
export function BrandMark() {
  return (
    <svg viewBox="0 0 32 32" fill="none" aria-hidden="true">
      <path d="M3 8H12L20 24H29" stroke="var(--line-strong)" strokeWidth="2" strokeDasharray="3 2.5" />
      <path
        d="M3 8H11C13 3.5 15 7 16 14C17 20 18 24 20 24H29"
        stroke="var(--accent-ink)"
        strokeWidth="3"
        strokeLinejoin="round"
      />
    </svg>
  );
}

export function Brand() {
  return (
    <Link to="/" className={classes.brand ?? ''}>
      <BrandMark />
      Syncline
    </Link>
  );
}
