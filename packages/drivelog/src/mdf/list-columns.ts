import type { LogColumn } from '../log-content.js';
import { findUnit } from '../units.js';
import { whyUnread } from './channel-reader.js';
import type { MdfChannel, MdfDataGroup, MdfGroup, MdfStructure } from './structure.js';

/** A channel that can be a signal, with where it lies. */
export interface MdfColumn extends LogColumn {
  readonly dataGroup: MdfDataGroup;
  readonly group: MdfGroup;
  readonly channel: MdfChannel;
}

/** A channel or group that is not offered, and why. */
export interface UnreadChannel {
  readonly name: string;
  readonly reason: string;
}

export interface MdfColumns {
  /** Column 0: the time of all groups, under the name that the first of them gives it. Null without any. */
  readonly time: LogColumn | null;
  readonly columns: readonly MdfColumn[];
  readonly unread: readonly UnreadChannel[];
}

/** Lists what the signal map may name, in the order of the file. Names that come again get a count behind. */
export function listColumns({ dataGroups }: MdfStructure): MdfColumns {
  const columns: MdfColumn[] = [];
  const unread: UnreadChannel[] = [];
  const unique = uniqueNames();
  const pairs = dataGroups.flatMap((dataGroup) => dataGroup.groups.map((group) => ({ dataGroup, group })));
  const firstMaster = pairs.map(({ group }) => timeMasterOf(group)).find((master) => master !== undefined);
  const time = firstMaster ? { index: 0, name: unique(firstMaster.name), label: firstMaster.name, unit: 's' } : null;
  for (const { dataGroup, group } of pairs) {
    const why = whyGroupUnread(dataGroup, group);
    if (why !== undefined) {
      if (group.channels.length > 0) unread.push({ name: group.name || `group at ${group.offset}`, reason: why });
      continue;
    }
    for (const channel of group.channels.filter(({ type }) => type !== 2 && type !== 3)) {
      const reason = whyUnread(channel);
      if (reason !== undefined) unread.push({ name: channel.name, reason });
      else {
        const unit = channel.unit === '' ? null : channel.unit;
        columns.push({
          index: columns.length + 1,
          name: unique(channel.name),
          label: channel.name,
          unit,
          dataGroup,
          group,
          channel,
        });
      }
    }
  }
  return { time, columns, unread };
}

/** Counts on where the same name came last, so that thousands of equal names cost no more than others. */
function uniqueNames(): (name: string) => string {
  const counts = new Map<string, number>();
  return (name) => {
    let count = counts.get(name) ?? 0;
    let free = name;
    do {
      count++;
      free = count === 1 ? name : `${name} (${count})`;
    } while (count > 1 && counts.has(free));
    counts.set(name, count);
    if (free !== name) counts.set(free, 1);
    return free;
  };
}

/** The channel that holds the time of a group's records. */
export function timeMasterOf({ channels }: MdfGroup): MdfChannel | undefined {
  return channels.find((channel) => (channel.type === 2 || channel.type === 3) && channel.syncType <= 1);
}

/** Masters are in seconds by the standard; another unit of time that the file states is believed. */
export function secondsPer({ unit }: MdfChannel): number {
  const id = findUnit(unit)?.id;
  if (id === 'ms') return 1e-3;
  return id === 'µs' ? 1e-6 : 1;
}

function whyGroupUnread(dataGroup: MdfDataGroup, group: MdfGroup): string | undefined {
  const master = timeMasterOf(group);
  if (master === undefined || whyUnread(master) !== undefined) return 'it has no time';
  if (group.recordCount === 0 || dataGroup.data === 0) return 'it has no records';
  if (group.dataBytes + group.invalidationBytes === 0) return 'its records are empty';
  return undefined;
}
