import { Button, Group, Text } from '@mantine/core';
import { formatCount } from '../format/quantity.js';

interface PagerProps {
  /** Page shown now, from 1. */
  readonly page: number;
  readonly pageSize: number;
  readonly totalCount: number;
  readonly shownCount: number;
  readonly hasNext: boolean;
  readonly onNext: () => void;
  readonly onFirst: () => void;
}

/** Pages by cursor: forward, or back to the first. The browser's own “back” leads to the page before. */
export function Pager({ page, pageSize, totalCount, shownCount, hasNext, onNext, onFirst }: PagerProps) {
  if (totalCount <= shownCount && page === 1) return null;
  const first = (page - 1) * pageSize + 1;
  return (
    <Group gap="sm" mt="sm" component="nav" aria-label="Pages of this list">
      <Text size="sm" c="dimmed">
        {formatCount(first)} to {formatCount(first + shownCount - 1)} of {formatCount(totalCount)}
      </Text>
      {page > 1 && (
        <Button variant="default" size="xs" onClick={onFirst}>
          First page
        </Button>
      )}
      {hasNext && (
        <Button variant="default" size="xs" onClick={onNext}>
          Next page
        </Button>
      )}
    </Group>
  );
}
