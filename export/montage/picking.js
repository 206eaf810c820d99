"use strict";
(() => {
  const $ = (id) => document.getElementById(id);
  const places = JSON.parse($("places").textContent);
  const photo = $("photo");
  const steps = []; // what was set, in turn: { kind, pixel, head } or { kind: "close" }
  places.forEach((place, number) => {
    const option = document.createElement("option");
    option.value = String(number);
    option.textContent = place.words;
    $("place").append(option);
  });

  const what = () => document.querySelector("input[name=what]:checked").value;
  const figure = (value) => String(Math.round(value * 10) / 10);
  const pair = ([x, y]) => `[${figure(x)}, ${figure(y)}]`;
  // a length as it stands in the file: a bare figure, or with its unit in quotes
  const length = (text) => (/^-?\d+(\.\d+)?$/.test(text) ? text : JSON.stringify(text));

  function head() {
    const own = $("own").value.trim();
    if (own) {
      const parts = own.split(",").map((part) => part.trim());
      if (parts.length !== 3 || parts.some((part) => !part)) return null;
      return { words: own, toml: `place = [${parts.map(length).join(", ")}]` };
    }
    const place = places[Number($("place").value)];
    if (!place) return null;
    if (place.post) return { words: place.words, toml: `post = ${JSON.stringify(place.post)}\nat = "${place.at}"` };
    return { words: place.words, toml: `place = [${place.place.join(", ")}]` };
  }

  function outlines() {
    const done = [];
    let open = [];
    steps.forEach((step) => {
      if (step.kind === "mask") open.push(step.pixel);
      else if (step.kind === "close") {
        if (open.length > 2) done.push(open);
        open = [];
      }
    });
    return { done, open };
  }

  function written() {
    const parts = steps.filter((step) => step.kind === "point")
      .map((step) => `[[point]] # ${step.head.words.replace(/[\r\n]/g, " ")}\n${step.head.toml}\npixel = ${pair(step.pixel)}\n`);
    const level = steps.filter((step) => step.kind === "horizon").map((step) => pair(step.pixel));
    if (level.length > 1) parts.push(`[horizon]\npixels = [${level.join(", ")}]\n`);
    outlines().done.forEach((ring) => parts.push(`[[mask]]\npixels = [${ring.map(pair).join(", ")}]\n`));
    return parts.join("\n");
  }

  const shape = (name, attributes, text = "") => {
    const made = document.createElementNS("http://www.w3.org/2000/svg", name);
    Object.entries(attributes).forEach(([key, value]) => made.setAttribute(key, value));
    made.textContent = text;
    $("marks").append(made);
  };

  function draw() {
    const size = photo.naturalWidth / 100;
    $("marks").replaceChildren();
    $("marks").setAttribute("viewBox", `0 0 ${photo.naturalWidth} ${photo.naturalHeight}`);
    const flat = (ring) => ring.map((spot) => spot.join(",")).join(" ");
    const { done, open } = outlines();
    done.forEach((ring) => shape("polygon", { points: flat(ring) }));
    if (open.length) shape("polyline", { points: flat(open) });
    const level = steps.filter((step) => step.kind === "horizon").map((step) => step.pixel);
    if (level.length > 1) shape("polyline", { points: flat(level) });
    steps.filter((step) => step.pixel && step.kind !== "mask").forEach((step) => {
      const [x, y] = step.pixel;
      shape("circle", { cx: x, cy: y, r: size });
      shape("path", { d: `M${x - 2 * size} ${y}h${4 * size}M${x} ${y - 2 * size}v${4 * size}` });
      if (step.head) shape("text", { x: x + 1.3 * size, y: y - 0.6 * size, "font-size": 1.8 * size }, step.head.words);
    });
    const text = written();
    $("text").value = text;
    $("save").href = `data:application/toml;charset=utf-8,${encodeURIComponent(text)}`;
  }

  const spot = (event) => {
    const box = photo.getBoundingClientRect();
    return [
      ((event.clientX - box.left) / box.width) * photo.naturalWidth,
      ((event.clientY - box.top) / box.height) * photo.naturalHeight,
    ];
  };

  function glass([x, y]) {
    const pen = $("glass").getContext("2d");
    pen.fillRect(0, 0, 180, 180);
    pen.imageSmoothingEnabled = false;
    pen.drawImage(photo, x - 22.5, y - 22.5, 45, 45, 0, 0, 180, 180);
    pen.strokeStyle = "#fff";
    pen.strokeRect(86, 86, 8, 8);
  }

  $("stage").addEventListener("pointermove", (event) => glass(spot(event)));
  $("stage").addEventListener("click", (event) => {
    const kind = what();
    const step = { kind, pixel: spot(event) };
    if (kind === "point") {
      step.head = head();
      if (!step.head) {
        $("said").textContent = "A place of your own needs three lengths: east, north, level.";
        return;
      }
    }
    steps.push(step);
    $("said").textContent = step.head ? `${step.head.words} is set.` : `${kind} point is set.`;
    if (kind === "point" && !$("own").value.trim()) {
      const next = Number($("place").value) + 1;
      if (next < places.length) $("place").value = String(next);
    }
    $("own").value = "";
    draw();
  });
  $("stage").addEventListener("keydown", (event) => {
    const by = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[event.key];
    const last = steps.findLast((step) => step.pixel);
    if (!by || !last) return;
    event.preventDefault();
    last.pixel = [last.pixel[0] + by[0], last.pixel[1] + by[1]];
    glass(last.pixel);
    draw();
  });
  $("close").addEventListener("click", () => {
    steps.push({ kind: "close" });
    draw();
  });
  $("undo").addEventListener("click", () => {
    steps.pop();
    draw();
  });
  if (photo.complete) draw();
  else photo.addEventListener("load", draw);
})();
