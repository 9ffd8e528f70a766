import type { PlatformDocument } from '@syncline/contract';
import { Link, type LinkProps } from '@tanstack/react-router';
import { repeatWords, type TableSpec, variantWords } from './layout-words.js';
import classes from './revision.module.css';

interface VariantTabsProps {
  readonly spec: Pick<TableSpec, 'repeat' | 'byProgram'>;
  readonly variants: readonly string[];
  readonly chosen: string;
  readonly platform: PlatformDocument;
  /** Address of this page with another variant. */
  readonly linkTo: (variant: string) => LinkProps;
  /** A few words more for a variant, for example how much it differs. */
  readonly remark?: (variant: string) => string | undefined;
}

/** One link for each variant of a table; nothing for a table that exists once. */
export function VariantTabs({ spec, variants, chosen, platform, linkTo, remark }: VariantTabsProps) {
  const title = repeatWords(spec);
  if (title === '') return null;
  return (
    <nav className={classes.variants} aria-label={`${title} of the table`}>
      <span className={classes.variantsTitle}>{title}</span>
      {variants.map((variant) => {
        const { short, full } = variantWords(spec, variant, platform);
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
