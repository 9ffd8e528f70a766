import { type LookupAddress, type LookupOptions, lookup } from 'node:dns';
import { BlockList, isIP } from 'node:net';

/**
 * Addresses that are no part of the open internet, by the special-purpose registries (RFC 6890 and its updates): a hook
 * that reached them would let its maker talk to what only this server can reach.
 */
const INNER = new BlockList();
for (const [network, prefix] of [
  ['0.0.0.0', 8],
  ['10.0.0.0', 8],
  ['100.64.0.0', 10],
  ['127.0.0.0', 8],
  ['169.254.0.0', 16],
  ['172.16.0.0', 12],
  ['192.0.0.0', 24],
  ['192.0.2.0', 24],
  ['192.88.99.0', 24],
  ['192.168.0.0', 16],
  ['198.18.0.0', 15],
  ['198.51.100.0', 24],
  ['203.0.113.0', 24],
  ['224.0.0.0', 4],
  ['240.0.0.0', 4],
] as const) {
  INNER.addSubnet(network, prefix, 'ipv4');
}
for (const [network, prefix] of [
  ['::', 127],
  ['64:ff9b::', 96],
  ['64:ff9b:1::', 48],
  ['100::', 64],
  ['2001::', 23],
  ['2001:db8::', 32],
  ['2002::', 16],
  ['fc00::', 7],
  ['fe80::', 10],
  ['fec0::', 10],
  ['ff00::', 8],
] as const) {
  INNER.addSubnet(network, prefix, 'ipv6');
}

/** Whether an IP address belongs to the open internet. IPv4 written as IPv6 is judged as IPv4. */
export function isPublicAddress(address: string): boolean {
  const family = isIP(address);
  if (family === 4) return !INNER.check(address, 'ipv4');
  if (family !== 6) return false;
  const mapped = mappedIpv4(address);
  return mapped === null ? !INNER.check(address, 'ipv6') : !INNER.check(mapped, 'ipv4');
}

/** The IPv4 address in `::ffff:192.0.2.1` or `::ffff:c000:201`, the forms that a parser of addresses gives. */
function mappedIpv4(address: string): string | null {
  const rest = /^(?:::|0:0:0:0:0:)ffff:(.+)$/i.exec(address)?.[1];
  if (rest === undefined) return null;
  if (isIP(rest) === 4) return rest;
  const words = rest.split(':').map((word) => Number.parseInt(word, 16));
  if (words.length !== 2 || words.some((word) => !(word >= 0 && word <= 0xffff))) return null;
  return words.flatMap((word) => [word >> 8, word & 0xff]).join('.');
}

/** Why an address may not be told; null when it may, as far as can be known before its name is looked up. */
export function hookFault(address: string, isPrivateAllowed: boolean): string | null {
  if (!URL.canParse(address)) return `'${address}' is no address.`;
  const url = new URL(address);
  if (url.protocol !== 'http:' && url.protocol !== 'https:') return `${url.protocol} is not http: or https:.`;
  if (url.username !== '' || url.password !== '') return 'It has a name or a password in it.';
  const host = bareHost(url);
  if (isPrivateAllowed || isIP(host) === 0) return null;
  return isPublicAddress(host) ? null : `${host} is a private address.`;
}

/** The host without the brackets of IPv6. */
export function bareHost({ hostname }: URL): string {
  return hostname.replace(/^\[(.*)\]$/, '$1');
}

type Answer = (error: NodeJS.ErrnoException | null, address: string | LookupAddress[], family?: number) => void;

/**
 * A name lookup for a connection that fails when any answer is private. The connection is made to what is answered here,
 * so that a name that changes between a check and the use cannot slip through.
 */
export function publicLookup(hostname: string, options: LookupOptions, answer: Answer): void {
  lookup(hostname, { ...options, all: true }, (error, addresses) => {
    if (error) return answer(error, []);
    const inner = addresses.find(({ address }) => !isPublicAddress(address));
    if (inner) return answer(new Error(`${hostname} leads to the private address ${inner.address}`), []);
    if (options.all) return answer(null, addresses);
    const [first] = addresses;
    return first ? answer(null, first.address, first.family) : answer(new Error(`${hostname} has no address`), []);
  });
}
