import type { PlatformDocument } from '@syncline/contract';
import { Link, type LinkProps } from '@tanstack/react-router';
import { REPEAT_WORDS, type TableSpec, variantWords } from './layout-words.js';
import classes from './revision.module.css';

interface VariantTabsProps {
  readonly repeat: TableSpec['repeat'];
  readonly variants: readonly string[];
  readonly chosen: string;
  readonly platform: PlatformDocument;
  /** Address of this page with another variant. */
  readonly linkTo: (variant: string) => LinkProps;
  /** A few words more for a variant, for example how much it differs. */
  readonly remark?: (variant: string) => string | undefined;
}

/** One link for each variant of a table; nothing for a table that exists once. */
export function VariantTabs({ repeat, variants, chosen, platform, linkTo, remark }: VariantTabsProps) {
  if (repeat === 'once') return null;
  return (
    <nav className={classes.variants} aria-label={`${REPEAT_WORDS[repeat]} of the table`}>
      <span className={classes.variantsTitle}>{REPEAT_WORDS[repeat]}</span>
      {variants.map((variant) => {
        const { short, full } = variantWords(repeat, variant, platform);
        const more = remark?.(variant);
        return (
          <Link
            key={variant}
            {...linkTo(variant)}
            resetScroll={false}
            className={classes.variant ?? ''}
            title={full}
            aria-current={variant === chosen ? 'true' : undefined}
            activeProps={{}}
          >
            {short}
            {more !== undefined && <span className={classes.remark}> {more}</span>}
          </Link>
        );
      })}
    </nav>
  );
}
