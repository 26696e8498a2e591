//! A software renderer for tests: the toolkit's triangles with their colours and the font's texture, blended as a screen
//! would, no display and no GPU. Slow and exact; small pictures only.

use egui::epaint::{ImageData, Mesh, Primitive, Vertex};
use egui::{Color32, ColorImage, Context, Pos2, RawInput, Rect, TextureId, Ui, Vec2};

/// A context in one of the appearances.
pub fn context(dark: bool) -> Context {
    let ctx = Context::default();
    crate::window::look::theme::install(&ctx);
    ctx.set_theme(if dark {
        egui::Theme::Dark
    } else {
        egui::Theme::Light
    });
    ctx
}

/// Draws a few frames, so that fonts are there, and gives the last as a picture of this size.
pub fn render(ctx: &Context, size: Vec2, mut draw: impl FnMut(&mut Ui)) -> ColorImage {
    let ground = crate::window::look::theme::Theme::of_context(ctx).card;
    let mut out = ColorImage::filled([size.x as usize, size.y as usize], ground);
    let mut font = ColorImage::filled([1, 1], Color32::WHITE);
    for frame in 0..3 {
        let input = RawInput {
            screen_rect: Some(Rect::from_min_size(Pos2::ZERO, size)),
            ..Default::default()
        };
        let mut output = ctx.run_ui(input, &mut draw);
        for (id, deltas) in &output.textures_delta.set {
            if *id == TextureId::default() {
                for delta in deltas {
                    take(&mut font, delta);
                }
            }
        }
        let shapes = std::mem::take(&mut output.shapes);
        let meshes = ctx.tessellate(shapes, output.pixels_per_point);
        output.textures_delta.clear();
        if frame < 2 {
            continue;
        }
        for clipped in meshes {
            if let Primitive::Mesh(mesh) = clipped.primitive {
                fill(&mut out, &mesh, clipped.clip_rect, &font);
            }
        }
    }
    out
}

/// A change of the font's texture, whole or a part.
fn take(font: &mut ColorImage, delta: &egui::epaint::ImageDelta) {
    let ImageData::Color(image) = &delta.image;
    let Some([x0, y0]) = delta.pos else {
        *font = ColorImage::clone(image);
        return;
    };
    for y in 0..image.size[1] {
        for x in 0..image.size[0] {
            font[(x0 + x, y0 + y)] = image[(x, y)];
        }
    }
}

fn fill(out: &mut ColorImage, mesh: &Mesh, clip: Rect, font: &ColorImage) {
    for t in mesh.indices.chunks_exact(3) {
        let corners = [t[0], t[1], t[2]].map(|i| mesh.vertices[i as usize]);
        triangle(out, &corners, clip, font);
    }
}

fn triangle(out: &mut ColorImage, v: &[Vertex; 3], clip: Rect, font: &ColorImage) {
    let area = cross(v[0].pos, v[1].pos, v[2].pos);
    let bounds = Rect::from_points(&v.map(|v| v.pos)).intersect(clip);
    if area == 0.0 || !area.is_finite() || !bounds.is_positive() {
        return;
    }
    let [w, h] = out.size;
    let (x0, x1) = (
        bounds.left().max(0.0) as usize,
        (bounds.right().ceil().max(0.0) as usize).min(w),
    );
    let (y0, y1) = (
        bounds.top().max(0.0) as usize,
        (bounds.bottom().ceil().max(0.0) as usize).min(h),
    );
    for y in y0..y1 {
        for x in x0..x1 {
            let p = Pos2::new(x as f32 + 0.5, y as f32 + 0.5);
            let a = cross(v[1].pos, v[2].pos, p) / area;
            let b = cross(v[2].pos, v[0].pos, p) / area;
            let c = 1.0 - a - b;
            if a < 0.0 || b < 0.0 || c < 0.0 || !clip.contains(p) {
                continue;
            }
            let uv = v[0].uv.to_vec2() * a + v[1].uv.to_vec2() * b + v[2].uv.to_vec2() * c;
            let texel = texel(font, uv);
            let mut color = [0.0; 4];
            for (k, share) in color.iter_mut().enumerate() {
                let mixed = |v: &Vertex| f32::from(v.color.to_array()[k]);
                let own = mixed(&v[0]) * a + mixed(&v[1]) * b + mixed(&v[2]) * c;
                *share = own * texel[k] / 255.0;
            }
            let under = out[(x, y)].to_array();
            let over = |k: usize| {
                (color[k] + f32::from(under[k]) * (1.0 - color[3] / 255.0))
                    .round()
                    .clamp(0.0, 255.0) as u8
            };
            out[(x, y)] = Color32::from_rgba_premultiplied(over(0), over(1), over(2), 255);
        }
    }
}

fn cross(a: Pos2, b: Pos2, c: Pos2) -> f32 {
    (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x)
}

/// The nearest texel, premultiplied.
fn texel(font: &ColorImage, uv: Vec2) -> [f32; 4] {
    let [w, h] = font.size;
    let at = |u: f32, n: usize| ((u * n as f32) as usize).min(n - 1);
    font[(at(uv.x, w), at(uv.y, h))].to_array().map(f32::from)
}
