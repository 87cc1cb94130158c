// Wheels: one value stands, less and more turn it, a slide turns it and takes it when it is lifted.

/**
 * A wheel over `rings` of values, {name, values, step}: `turnRing` goes on to the next ring, at the
 * value nearest to the one that stands. `step` is how far one step of a slide goes, 1 without it.
 */
export function makeWheel({ rings, start, words, measure = null, round = false, kind = "" }) {
  let ring = Math.max(0, rings.findIndex(({ values }) => values.includes(start)));
  let place = Math.max(0, rings[ring].values.indexOf(start));
  const values = () => rings[ring].values;
  const at = (index) => {
    const count = values().length;
    return round ? (index + count) % count : Math.min(count - 1, Math.max(0, index));
  };
  return {
    words,
    kind,
    value: () => values()[place],
    near: (by) => (at(place + by) === place ? null : values()[at(place + by)]),
    turn(by) {
      const before = place;
      place = at(place + by);
      return place !== before;
    },
    place: () => place,
    put: (index) => (place = at(index)),
    ringAfter: () => (rings.length > 1 ? rings[(ring + 1) % rings.length].name : null),
    turnRing() {
      const standing = measure(values()[place]);
      ring = (ring + 1) % rings.length;
      const off = (value) => Math.abs(measure(value) - standing);
      const nearest = values().reduce((one, other) => (off(other) < off(one) ? other : one));
      place = values().indexOf(nearest);
    },
  };
}
