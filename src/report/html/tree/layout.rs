//! Stops on a grid: the way with the most stops goes straight on, others hang below it.

use super::stops::Stop;

/// Stops that are drawn at most.
const MOST_STOPS: usize = 400;

/// Where each stop stands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Grid {
    /// Column and row of each stop.
    pub(super) cells: Vec<(usize, usize)>,
    /// Number of columns.
    pub(super) columns: usize,
    /// Number of rows.
    pub(super) rows: usize,
}

/// Places the stops; `None` when there are too many to be read.
pub(super) fn place(stops: &[Stop]) -> Option<Grid> {
    if stops.len() > MOST_STOPS {
        return None;
    }
    let mut children: Vec<Vec<usize>> = vec![Vec::new(); stops.len()];
    let mut size = vec![1usize; stops.len()];
    let mut depth = vec![0usize; stops.len()];
    for (index, stop) in stops.iter().enumerate().skip(1) {
        children[stop.parent].push(index);
        depth[index] = depth[stop.parent] + 1;
    }
    for index in (1..stops.len()).rev() {
        size[stops[index].parent] += size[index];
    }
    for list in &mut children {
        // The biggest branch is the trunk; the others keep their order.
        if let Some(trunk) = (0..list.len()).max_by_key(|at| (size[list[*at]], usize::MAX - at)) {
            let trunk = list.remove(trunk);
            list.insert(0, trunk);
        }
    }
    let straight = trunk_ends(&children, &depth);
    let mut grid = Grid { cells: vec![(0, 0); stops.len()], columns: 0, rows: 0 };
    let mut taken: Vec<Vec<bool>> = Vec::new();
    let mut stack = vec![0usize];
    while let Some(index) = stack.pop() {
        if stops.is_empty() {
            break;
        }
        let parent = stops[index].parent;
        let on_trunk = index == 0 || children[parent].first() == Some(&index);
        let from = depth[index];
        let row = if on_trunk {
            grid.cells[parent].1
        } else {
            let mut row = grid.cells[parent].1 + 1;
            while (from..=straight[index]).any(|column| is_taken(&taken, row, column)) {
                row += 1;
            }
            row
        };
        if !on_trunk || index == 0 {
            (from..=straight[index]).for_each(|column| take(&mut taken, row, column));
        }
        grid.cells[index] = (from, row);
        grid.columns = grid.columns.max(from + 1);
        grid.rows = grid.rows.max(row + 1);
        stack.extend(children[index].iter().rev());
    }
    Some(grid)
}

/// The column in which the straight way on from each stop ends.
fn trunk_ends(children: &[Vec<usize>], depth: &[usize]) -> Vec<usize> {
    let mut ends = depth.to_vec();
    for index in (0..children.len()).rev() {
        if let Some(first) = children[index].first() {
            ends[index] = ends[*first];
        }
    }
    ends
}

fn is_taken(taken: &[Vec<bool>], row: usize, column: usize) -> bool {
    taken.get(row).and_then(|row| row.get(column)).copied().unwrap_or(false)
}

fn take(taken: &mut Vec<Vec<bool>>, row: usize, column: usize) {
    if taken.len() <= row {
        taken.resize(row + 1, Vec::new());
    }
    if taken[row].len() <= column {
        taken[row].resize(column + 1, false);
    }
    taken[row][column] = true;
}
