/**
 * How far two colours lie apart, and what a photo shows: for the page that works without the site.
 *
 * CIEDE2000 after ISO/CIE 11664-6 (2014); its test is the table of Sharma, Wu and Dalal (2005).
 */

const RADIANS = Math.PI / 180;

/** The CIEDE2000 difference of two colours, each [L*, a*, b*]. */
export function difference([light1, a1, b1], [light2, a2, b2]) {
  const meanChroma = (Math.hypot(a1, b1) + Math.hypot(a2, b2)) / 2;
  const stretch = (1 - Math.sqrt(meanChroma ** 7 / (meanChroma ** 7 + 25 ** 7))) / 2 + 1;
  const [chroma1, hue1] = polar(a1 * stretch, b1);
  const [chroma2, hue2] = polar(a2 * stretch, b2);
  const isGrey = chroma1 * chroma2 === 0;
  const turn = isGrey ? 0 : shortTurn(hue2 - hue1);
  const dLight = light2 - light1;
  const dChroma = chroma2 - chroma1;
  const dHue = 2 * Math.sqrt(chroma1 * chroma2) * Math.sin((turn / 2) * RADIANS);
  const light = (light1 + light2) / 2;
  const chroma = (chroma1 + chroma2) / 2;
  const hue = isGrey ? hue1 + hue2 : meanHue(hue1, hue2);
  const shape = 1 - 0.17 * cosine(hue - 30) + 0.24 * cosine(2 * hue)
    + 0.32 * cosine(3 * hue + 6) - 0.2 * cosine(4 * hue - 63);
  const offMiddle = (light - 50) ** 2;
  const inLight = dLight / (1 + (0.015 * offMiddle) / Math.sqrt(20 + offMiddle));
  const inChroma = dChroma / (1 + 0.045 * chroma);
  const inHue = dHue / (1 + 0.015 * chroma * shape);
  const turned = -2 * Math.sqrt(chroma ** 7 / (chroma ** 7 + 25 ** 7))
    * Math.sin(60 * RADIANS * Math.exp(-(((hue - 275) / 25) ** 2)));
  return Math.sqrt(inLight ** 2 + inChroma ** 2 + inHue ** 2 + turned * inChroma * inHue);
}

function polar(a, b) {
  return [Math.hypot(a, b), a === 0 && b === 0 ? 0 : (Math.atan2(b, a) / RADIANS + 360) % 360];
}

function shortTurn(turn) {
  if (turn > 180) return turn - 360;
  return turn < -180 ? turn + 360 : turn;
}

function meanHue(hue1, hue2) {
  if (Math.abs(hue1 - hue2) <= 180) return (hue1 + hue2) / 2;
  return (hue1 + hue2 + (hue1 + hue2 < 360 ? 360 : -360)) / 2;
}

function cosine(degrees) {
  return Math.cos(degrees * RADIANS);
}

/** A part of sRGB, 0 to 255, in linear light, 0 to 1 (IEC 61966-2-1). */
export function linear(part) {
  const share = part / 255;
  return share <= 0.04045 ? share / 12.92 : ((share + 0.055) / 1.055) ** 2.4;
}

/** CIELAB (D65, 2 degrees) of a colour in linear sRGB. */
export function labOfLinear([red, green, blue]) {
  const x = 0.4124 * red + 0.3576 * green + 0.1805 * blue;
  const y = 0.2126 * red + 0.7152 * green + 0.0722 * blue;
  const z = 0.0193 * red + 0.1192 * green + 0.9505 * blue;
  const [fx, fy, fz] = [x / 0.95047, y, z / 1.08883].map(root);
  return [116 * fy - 16, 500 * (fx - fy), 200 * (fy - fz)];
}

function root(share) {
  return share > 216 / 24389 ? Math.cbrt(share) : ((24389 / 27) * share + 16) / 116;
}

/** CIELAB of a colour such as "#1b2a4f". */
export function labOfHex(hex) {
  return labOfLinear([1, 3, 5].map((at) => linear(Number.parseInt(hex.slice(at, at + 2), 16))));
}

/** CIELAB of the mean, in linear light, of pixels as a canvas gives them: red, green, blue, alpha. */
export function labOfPixels(pixels) {
  const sums = [0, 0, 0];
  let count = 0;
  for (let at = 0; at + 3 < pixels.length; at += 4) {
    if (pixels[at + 3] > 127) {
      for (const part of [0, 1, 2]) sums[part] += linear(pixels[at + part]);
      count += 1;
    }
  }
  return count === 0 ? null : labOfLinear(sums.map((sum) => sum / count));
}
