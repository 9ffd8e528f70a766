import { Skeleton, Stack, VisuallyHidden } from '@mantine/core';

/** Rows of a list that is on its way. */
export function RowSkeletons({ rows = 6 }: { readonly rows?: number }) {
  return (
    <Stack gap={8} py="xs" aria-busy="true">
      <VisuallyHidden role="status">Loading</VisuallyHidden>
      {Array.from({ length: rows }, (_, row) => (
        <Skeleton key={row} height={22} width={`${96 - ((row * 13) % 22)}%`} />
      ))}
    </Stack>
  );
}

/** A plot or a matrix that is on its way; `height` in px keeps the page from jumping. */
export function BlockSkeleton({ height }: { readonly height: number }) {
  return (
    <div aria-busy="true">
      <VisuallyHidden role="status">Loading</VisuallyHidden>
      <Skeleton height={height} />
    </div>
  );
}
