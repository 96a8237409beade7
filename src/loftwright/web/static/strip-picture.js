// A picture of a strip as it looks on this page.
const LARGER = 2; // for print, and for screens with fine pixels
const MARGIN = 16;

const coloured = (svg) => {
  const look = getComputedStyle(document.documentElement);
  const colour = (role) => look.getPropertyValue(role).trim() || "#000";
  const copy = svg.cloneNode(true);
  copy.querySelectorAll(".cursor, .strip-span").forEach((one) => one.remove());
  const { width, height } = svg.viewBox.baseVal;
  const [wide, high] = [width + 2 * MARGIN, height + 2 * MARGIN];
  copy.setAttribute("viewBox", `${-MARGIN} ${-MARGIN} ${wide} ${high}`);
  copy.setAttribute("width", wide * LARGER);
  copy.setAttribute("height", high * LARGER);
  const text = getComputedStyle(svg.querySelector("text") ?? svg).fontFamily.replaceAll('"', "'");
  copy.setAttribute("font-family", text);
  copy.querySelectorAll(".halo").forEach((one) => {
    one.setAttribute("paint-order", "stroke");
    one.setAttribute("stroke", "var(--paper)");
    one.setAttribute("stroke-width", "4");
    one.setAttribute("stroke-linejoin", "round");
  });
  const source = new XMLSerializer().serializeToString(copy);
  return { source: source.replace(/var\((--[a-z]+)\)/g, (_, role) => colour(role)), wide, high, paper: colour("--paper") };
};

// Return the picture as a blob of type image/png.
export const pictureOf = async (svg) => {
  const { source, wide, high, paper } = coloured(svg);
  const address = URL.createObjectURL(new Blob([source], { type: "image/svg+xml" }));
  try {
    const image = new Image();
    image.src = address;
    await image.decode();
    const canvas = document.createElement("canvas");
    canvas.width = wide * LARGER;
    canvas.height = high * LARGER;
    const pen = canvas.getContext("2d");
    pen.fillStyle = paper;
    pen.fillRect(0, 0, canvas.width, canvas.height);
    pen.drawImage(image, 0, 0);
    return await new Promise((done) => { canvas.toBlob(done, "image/png"); });
  } finally {
    URL.revokeObjectURL(address);
  }
};

export const savePicture = async (strip) => {
  const picture = await pictureOf(strip.svg);
  const address = URL.createObjectURL(picture);
  const link = document.createElement("a");
  link.href = address;
  link.download = `${strip.name}.png`;
  link.click();
  setTimeout(() => URL.revokeObjectURL(address), 60_000);
};
