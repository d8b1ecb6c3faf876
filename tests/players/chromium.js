// Plays one file in the page and returns what the browser tells of it.
async (address, still, rate, patience) => {
  const told = {};
  const within = (promise) => Promise.race([promise, new Promise((done) => setTimeout(done, patience, "too late"))]);
  const one = (element, ...names) =>
    new Promise((done) => names.forEach((name) => element.addEventListener(name, () => done(name), { once: true })));
  const look = (source) => {
    const frame = new VideoFrame(source, still ? { timestamp: 0 } : {});
    const { width, height } = frame.visibleRect;
    Object.assign(told, { width, height, colour: frame.colorSpace.toJSON(), format: frame.format });
    frame.close();
  };
  if (still) {
    const picture = document.createElement("img");
    document.body.replaceChildren(picture);
    picture.src = address;
    try {
      await within(picture.decode());
    } catch (error) {
      return { error: String(error) };
    }
    Object.assign(told, { shownWidth: picture.naturalWidth, shownHeight: picture.naturalHeight, ended: picture.complete });
    look(picture);
    return told;
  }
  const video = document.createElement("video");
  document.body.replaceChildren(video);
  video.muted = true;
  video.src = address;
  await within(one(video, "loadedmetadata", "error"));
  if (!video.error && video.videoWidth) {
    video.playbackRate = rate;
    await video.play().catch((error) => (told.refused = String(error)));
    told.ended = video.ended || (await within(one(video, "ended", "error"))) === "ended";
  }
  if (video.error) return { error: `${video.error.code} ${video.error.message}` };
  if (!video.videoWidth) return { error: "sound only: no decoder for the pictures" };
  const quality = video.getVideoPlaybackQuality();
  Object.assign(told, {
    shownWidth: video.videoWidth,
    shownHeight: video.videoHeight,
    seconds: video.duration,
    pictures: quality.totalVideoFrames,
    sound: video.webkitAudioDecodedByteCount > 0,
  });
  look(video);
  video.currentTime = video.duration / 2;
  told.middle = (await within(one(video, "seeked", "error"))) === "seeked" ? video.currentTime : null;
  return told;
}
