/** A word and its value, in a list of facts. */
export function Fact({ word, value }: { readonly word: string; readonly value: string }) {
  return (
    <div>
      <dt>{word}</dt>
      <dd>{value}</dd>
    </div>
  );
}
