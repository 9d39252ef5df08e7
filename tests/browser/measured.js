// What is measured of the page that is shown: how wide it is, what stands out of it, what lies on what.
(() => {
  const root = document.documentElement, wide = root.clientWidth, over = [], overlaps = [], outside = [];
  const told = each => each.outerHTML.slice(0, 120);

  for (const each of document.querySelectorAll("body *:not(svg *)"))
    if (!each.closest(".wide") && each.getBoundingClientRect().right > wide + 1) over.push(told(each));

  // Two pieces of lettering lie on each other where they share more than a third of a line's height.
  const lie = (one, two, slack) => one.left < two.right - 1 && two.left < one.right - 1
    && one.top + slack < two.bottom && two.top + slack < one.bottom;
  const among = boxes => {
    boxes.sort((one, two) => one.box.top - two.box.top);
    for (let a = 0; a < boxes.length; a++)
      for (let b = a + 1; b < boxes.length && boxes[b].box.top < boxes[a].box.bottom; b++)
        if (lie(boxes[a].box, boxes[b].box, 0.35 * Math.min(boxes[a].box.height, boxes[b].box.height)))
          overlaps.push([boxes[a].said, boxes[b].said]);
  };

  const lines = [];
  const texts = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  while (texts.nextNode()) {
    const node = texts.currentNode;
    if (!node.data.trim() || node.parentElement.closest("svg, .mark") || !node.parentElement.checkVisibility()) continue;
    const range = document.createRange();
    range.selectNodeContents(node);
    for (const box of range.getClientRects())
      if (box.width > 1 && box.height > 1) lines.push({said: node.data.trim().slice(0, 60), box});
  }
  among(lines);

  for (const drawing of document.querySelectorAll("svg")) {
    const sheet = drawing.getBoundingClientRect(), letters = [...drawing.querySelectorAll("text")];
    for (const each of letters) {
      const box = each.getBoundingClientRect();
      if (box.left < sheet.left - 1 || box.right > sheet.right + 1 || box.top < sheet.top - 1 || box.bottom > sheet.bottom + 1)
        outside.push(each.textContent);
    }
    among(letters.map(each => ({said: each.textContent, box: each.getBoundingClientRect()})));
    const rings = [...drawing.querySelectorAll(".balloon circle")].map(each => each.getBoundingClientRect());
    for (let a = 0; a < rings.length; a++)
      for (let b = a + 1; b < rings.length; b++)
        if (Math.hypot(rings[a].x - rings[b].x, rings[a].y - rings[b].y) < 0.9 * rings[a].width)
          overlaps.push(["a balloon", "a balloon"]);
  }
  const least = Math.min(...lines.map(each => each.box.height));
  return {title: document.title, wide: root.scrollWidth, over, overlaps, outside, lettering: lines.length, least};
})()
